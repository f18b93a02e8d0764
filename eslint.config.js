// The rules for the scripts of the pages: `make lint` runs them, and the type check by JSDoc beside them.
import js from "@eslint/js";
import globals from "globals";

export default [
  {
    ignores: ["**/vendor/**", "node_modules/**", "tests/data/**", "out/**", "build/**", ".venv/**"],
  },
  js.configs.recommended,
  {
    files: ["src/threequarter/web/static/**/*.js"],
    languageOptions: { globals: globals.browser },
    rules: {
      complexity: ["error", 12],
      eqeqeq: "error",
      "max-lines": ["error", 400],
      "max-lines-per-function": ["error", 70],
      "no-unused-vars": ["error", { varsIgnorePattern: "^_" }],
      "no-var": "error",
      "prefer-const": "error",
    },
  },
  {
    files: ["src/threequarter/web/static/sw.js", "src/threequarter/web/static/site_sw.js"],
    languageOptions: {
      globals: { ...globals.serviceworker, FILES_OF_THIS_VERSION: "readonly", DIGESTS_OF_FILES: "readonly" },
    },
  },
  {
    files: ["tests/scripts/**/*.js"],
    languageOptions: { globals: globals.nodeBuiltin },
    rules: { "no-unused-vars": ["error", { varsIgnorePattern: "^_" }] },
  },
];
