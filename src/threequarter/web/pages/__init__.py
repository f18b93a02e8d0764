"""One folder for each part of the pages: its routes, what its pages show, and their templates."""
