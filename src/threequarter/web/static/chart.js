// Touching a ball in the picture shows it without leaving the page; without this file the same link loads the page.

/** @param {string} address */
async function showPart(address) {
  await window.htmx.ajax("GET", address, { target: "#main", select: "#main", swap: "outerHTML show:none" });
  history.pushState({}, "", address);
  const ball = document.getElementById("ball");
  if (!ball) return;
  ball.focus({ preventScroll: true });
  ball.scrollIntoView({ block: "nearest" });
}

document.addEventListener("click", (event) => {
  const link = /** @type {Element} */ (event.target).closest("a.touch");
  if (!link || !window.htmx || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const address = new URL(link.getAttribute("href") || "", location.href);
  if (address.pathname !== location.pathname) return;
  event.preventDefault();
  showPart(address.pathname + address.search + address.hash);
});
window.addEventListener("popstate", () => location.reload());
