// What the framework leaves out for those who come by keyboard or listen: a link past the
// navigation, focus at the heading of a new page, and no list items outside of a list.
function heading(title) {
  const first = document.querySelector("[data-testid=stMain] h1");
  return first && (!title || first.textContent.trim() === title) ? first : null;
}

function focusHeading(title) {
  const first = heading(title);
  if (!first) return false;
  first.tabIndex = -1;
  first.focus();
  return true;
}

function mendNavigation() {
  const main = document.querySelector("[data-testid=stMain]:not([id])");
  if (main) main.id = "page";
  for (const list of document.querySelectorAll("ul[data-testid=stSidebarNavItems]:not([role])")) {
    list.setAttribute("role", "none");
  }
  for (const item of document.querySelectorAll("[data-testid=stSidebarNav] li:not([role])")) {
    item.setAttribute("role", "none");
  }
}

function addSkipLink() {
  const skip = document.createElement("a");
  skip.className = "skip";
  skip.href = "#page";
  skip.textContent = "Skip to the answer";
  skip.onclick = (event) => {
    event.preventDefault();
    focusHeading();
  };
  document.body.prepend(skip);
}

export default function ({ data }) {
  const before = document.body.dataset.pageShown;
  document.body.dataset.pageShown = data.page;
  mendNavigation();
  if (before === undefined) {
    addSkipLink();
    new MutationObserver(mendNavigation).observe(document.body, { childList: true, subtree: true });
    return;
  }
  if (before === data.page) return;
  window.corrosionHeading?.(); // a page that was left before its heading came
  // the framework may draw the heading anew: it is taken up again until somebody goes on from it
  let reached = focusHeading(data.page);
  const watch = new MutationObserver(() => {
    if (!reached || document.activeElement === document.body) reached = focusHeading(data.page);
  });
  watch.observe(document.body, { childList: true, subtree: true, characterData: true });
  const acts = ["keydown", "pointerdown"];
  const stop = () => {
    watch.disconnect();
    for (const act of acts) removeEventListener(act, stop);
  };
  for (const act of acts) addEventListener(act, stop);
  window.corrosionHeading = stop;
}
