// A line that is lost, in the fleet's own words: the framework's dialog names the framework, speaks
// to whoever runs the server, and stands in the way of what was typed.
const LOST = "No connection: trying again by itself. What you typed stays here; nothing is written "
  + "until it is back.";
const BACK = "Connected again. Where no \"Written\" came, tap once more: it is written once.";
const BACK_SHOWN_MS = 15000, ON = "CONNECTED", STATE = "data-test-connection-state";

export default function () {
  if (document.body.dataset.lineWatched) return;
  document.body.dataset.lineWatched = "yes";
  const strip = document.createElement("div");
  strip.className = "line-state";
  strip.setAttribute("role", "status"); // read out when its text changes
  strip.hidden = true;
  document.body.append(strip);
  let lost = false, hiding;

  const say = (text) => {
    clearTimeout(hiding);
    if (strip.textContent !== text) strip.textContent = text;
    strip.hidden = !text;
  };
  const look = () => {
    const app = document.querySelector(`[${STATE}]`);
    if (!app) return;
    const off = app.getAttribute(STATE) !== ON;
    if (off) {
      for (const dialog of document.querySelectorAll("[role=dialog]")) {
        if (!dialog.textContent.includes("Connection error")) continue;
        dialog.style.visibility = "hidden";
        dialog.querySelector("button[aria-label=Close]")?.click();
      }
    }
    if (off === lost) return;
    lost = off;
    say(off ? LOST : BACK);
    if (!off) hiding = setTimeout(() => say(""), BACK_SHOWN_MS);
  };
  new MutationObserver(look).observe(document.body, {
    childList: true, subtree: true, attributes: true, attributeFilter: [STATE],
  });
  look();
}
