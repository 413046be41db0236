// Better with it, whole without it: results while typing, pages that follow what others press.
"use strict";

const [PAUSE, BEAT, AGAIN, PATIENCE] = [180, 1000, 3000, 4000];
const main = document.getElementById("main");
const ask = (address, more = {}) =>
  fetch(address, { signal: AbortSignal.timeout(PATIENCE), ...more }).catch(() => null);
const mainOf = (html) => new DOMParser().parseFromString(html, "text/html").getElementById("main");

// Results while typing: none moves under a finger, and the arrow keys walk through them.
function findWhileTyping(field, found) {
  const noted = new Set();
  let wait = 0;
  let pressed = false;
  const look = async () => {
    const asked = field.value;
    const address = new URL(location.href);
    address.searchParams.set("q", asked);
    const answer = await ask("/find" + address.search);
    const html = answer && answer.ok && (await answer.text());
    if (!html || asked !== field.value || found.contains(document.activeElement)) return;
    if (pressed) return void (wait = setTimeout(look, PAUSE));
    found.innerHTML = html;
    history.replaceState(null, "", address);
    document.getElementById("told").textContent = found.firstElementChild.dataset.told;
    wait = setTimeout(note, AGAIN, asked);
  };
  // What stood a while without a sure answer is an entry to write.
  const note = (asked) => {
    const form = found.querySelector("form[data-wanted]");
    if (!form || noted.has(asked)) return;
    noted.add(asked);
    ask(form.action, { method: "POST", body: new FormData(form) });
  };
  field.addEventListener("input", () => {
    clearTimeout(wait);
    wait = setTimeout(look, PAUSE);
  });
  found.addEventListener("pointerdown", () => (pressed = true));
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => (pressed = false));
  document.addEventListener("keydown", (event) => {
    const links = [field, ...found.querySelectorAll("h2 a, a.whole")];
    const here = links.indexOf(document.activeElement);
    const step = { ArrowDown: 1, ArrowUp: -1, Escape: -here }[event.key];
    if (here < 0 || !step) return;
    event.preventDefault();
    links[Math.min(Math.max(here + step, 0), links.length - 1)].focus();
  });
}

// A page that others change too: asked for once a second, also after the server was away.
const turned = new Map();
async function follow() {
  if (!document.hidden) {
    const answer = await ask(main.dataset.version);
    if (answer && answer.ok && (await answer.text()) !== main.dataset.stands) await renew();
  }
  setTimeout(follow, BEAT);
}

const isTyped = (one) =>
  one.tagName === "SELECT"
    ? [...one.options].some((option) => option.selected !== option.defaultSelected)
    : one.type !== "file" && (one.value !== one.defaultValue || one.checked !== one.defaultChecked);

async function renew() {
  const busy = main.contains(document.activeElement) && document.activeElement;
  if (busy && busy.matches("input, textarea, select")) return;
  const answer = await ask(main.dataset.live + location.search);
  const fresh = answer && answer.ok && mainOf(await answer.text());
  if (!fresh || fresh.dataset.live !== main.dataset.live) return;
  // What was refused meanwhile is being mended: its form holds the words.
  if (main.querySelector("[role=alert]")) return;
  const typed = [...main.querySelectorAll("[id]:is(input, textarea, select)")].filter(isTyped);
  main.dataset.stands = fresh.dataset.stands;
  main.replaceChildren(...fresh.childNodes);
  for (const part of main.querySelectorAll("details[id]")) part.open = turned.get(part.id) ?? part.open;
  for (const old of typed) {
    const now = document.getElementById(old.id);
    if (now) [now.value, now.checked] = [old.value, old.checked];
  }
  if (busy && busy.id) document.getElementById(busy.id)?.focus();
}

main.addEventListener("click", (event) => {
  const part = event.target.closest("summary")?.parentElement;
  if (part?.id) turned.set(part.id, !part.open);
});
const found = document.getElementById("found");
if (found) findWhileTyping(document.querySelector(".ask input"), found);
if (main.dataset.version) {
  document.addEventListener("visibilitychange", () => document.hidden || renew());
  follow();
}
