// Puts in the table that the server wrote (its text is escaped there) and reports a press on a row.
export default function ({ parentElement, data, setTriggerValue }) {
  const list = parentElement.querySelector(".listing");
  if (list.dataset.shown !== data.html) {
    list.innerHTML = data.html;
    list.dataset.shown = data.html;
  }
  list.onclick = (event) => {
    const target = event.target.closest("[data-open]");
    const elsewhere = event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0;
    if (!target || elsewhere || String(window.getSelection())) return;
    event.preventDefault();
    setTriggerValue("opened", target.dataset.open);
  };
}
