// Better with it, whole without it: results while typing, pages that follow what others press.
"use strict";

const PAUSE = 180;
const BEAT = 1000;

function findWhileTyping() {
  const field = document.querySelector(".ask input");
  const found = document.getElementById("found");
  if (!field || !found) return;
  let wait = 0;
  let asked = field.value;
  field.addEventListener("input", () => {
    clearTimeout(wait);
    wait = setTimeout(async () => {
      asked = field.value;
      const address = new URL(location.href);
      address.searchParams.set("q", asked);
      const answer = await fetch("/find" + address.search).catch(() => null);
      if (answer && answer.ok && asked === field.value) {
        found.innerHTML = await answer.text();
        history.replaceState(null, "", address);
      }
    }, PAUSE);
  });
}

function follow() {
  const main = document.getElementById("main");
  const asks = main.dataset.version;
  if (!asks) return;
  setInterval(async () => {
    if (document.hidden) return;
    const answer = await fetch(asks).catch(() => null);
    if (answer && answer.ok && (await answer.text()) !== main.dataset.stands) await renew(main);
  }, BEAT);
}

async function renew(main) {
  const busy = main.contains(document.activeElement) && /^(INPUT|TEXTAREA|SELECT)$/.test(document.activeElement.tagName);
  if (busy) return;
  const answer = await fetch(main.dataset.live + location.search).catch(() => null);
  if (!answer || !answer.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.getElementById("main");
  main.dataset.stands = fresh.dataset.stands;
  main.replaceChildren(...fresh.childNodes);
}

findWhileTyping();
follow();
