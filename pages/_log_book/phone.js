// Runs in the log book alone; keeps nothing but role, hull, round and text that is not sent yet.
const KEPT = "typed:", WITHIN_MS = 700, WITHIN_PX = 40, A_YEAR_S = 31536000;

export default function ({ data }) {
  window.corrosionPhone?.(); // drawn again with another form: the older one's listeners go
  const { form, by, hull, round, anode } = data;

  for (const [name, value] of Object.entries({ by, hull, round })) {
    if (typeof value !== "string") continue;
    const cookie = `last_${name}=${encodeURIComponent(value)}`;
    const age_s = value ? A_YEAR_S : 0; // a round that is over is forgotten
    document.cookie = `${cookie}; max-age=${age_s}; path=/; samesite=lax`;
  }

  // the next anode of a round, what was written, and an alarm stand above what the thumb pressed
  const before = window.corrosionForm;
  if (anode && before && before !== form) {
    document.querySelector(".st-key-round_head")?.scrollIntoView({ block: "start" });
  }
  window.corrosionForm = form;

  // a form that was written, or left for the next one, needs its text no more
  for (const key of Object.keys(sessionStorage)) {
    if (key.startsWith(KEPT) && !key.includes(form)) sessionStorage.removeItem(key);
  }

  const mark = `st-key-${form}_`; // a comma is on the decimal keyboard where the language has one
  const keyOf = (field) => {
    const box = field.closest(`[class*='${mark}']`);
    const name = box && [...box.classList].find((each) => each.startsWith(mark));
    return name ? KEPT + name : null;
  };
  const write = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, "value").set;

  const prepare = () => {
    document.querySelectorAll("[class*='st-key-digits_'] input").forEach((field) => {
      field.inputMode = "decimal";
      field.autocomplete = "off";
    });
    document.querySelectorAll("[data-testid=stTextInput] input").forEach((field) => {
      const key = keyOf(field);
      if (!key || field.dataset.filled === key) return;
      field.dataset.filled = key;
      const typed = sessionStorage.getItem(key);
      if (typed === null || typed === field.value) return;
      write.call(field, typed); // past React's own setter, so that it sees a change
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
  };

  const keep = (event) => {
    const key = event.target.closest?.("[data-testid=stTextInput]") && keyOf(event.target);
    if (key) sessionStorage.setItem(key, event.target.value);
  };

  let last = null;
  const tap = (event) => {
    const near = last && performance.now() - last.at < WITHIN_MS
      && Math.hypot(event.clientX - last.x, event.clientY - last.y) < WITHIN_PX;
    if (near) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    const sends = event.target.closest?.("[data-testid=stFormSubmitButton]");
    last = sends ? { at: performance.now(), x: event.clientX, y: event.clientY } : null;
  };

  prepare();
  const watch = new MutationObserver(prepare);
  watch.observe(document.body, { childList: true, subtree: true });
  window.addEventListener("input", keep, true);
  window.addEventListener("click", tap, true);
  const stop = () => {
    watch.disconnect();
    window.removeEventListener("input", keep, true);
    window.removeEventListener("click", tap, true);
  };
  window.corrosionPhone = stop;
  return stop;
}
