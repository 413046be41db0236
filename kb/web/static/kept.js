// A report outlives whatever happens to the page, the network and the server: its words stand in
// the browser's storage, its photo in its database, until the server says that it has them.
"use strict";

const [DAY, SIDE, LIGHT] = [86400000, 2000, 1500000];
const draftOf = (form) => "kitlore draft " + form.dataset.keep;
const OUT = "kitlore unsent ";
const onTheWay = new Set();
const forms = new Map(); // where on this page a report was pressed

// One store of photos: a draft's and an unsent report's, by the key of its words.
const base = new Promise((done) => {
  const asked = indexedDB.open("kitlore", 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore("photos");
  asked.onsuccess = () => done(asked.result);
  asked.onerror = () => done(null); // a private window may have none: the words are kept still
});
async function photos(how, ...given) {
  const opened = await base;
  if (!opened) return null;
  return new Promise((done) => {
    const deal = opened.transaction("photos", how === "get" ? "readonly" : "readwrite");
    const asked = deal.objectStore("photos")[how](...given);
    deal.oncomplete = () => done(asked.result ?? null);
    deal.onabort = deal.onerror = () => done(null);
  });
}

// What a phone's camera takes is far larger than what is kept; what can't be read goes as it is.
async function smaller(file) {
  const drawn = await createImageBitmap(file, { imageOrientation: "from-image" }).catch(() => null);
  if (!drawn) return file;
  const scale = Math.min(1, SIDE / Math.max(drawn.width, drawn.height));
  if (scale === 1 && file.size < LIGHT) return file;
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [drawn.width * scale, drawn.height * scale];
  canvas.getContext("2d").drawImage(drawn, 0, 0, canvas.width, canvas.height);
  drawn.close();
  return (await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85))) ?? file;
}

const fields = (form) => [...form.elements].filter((one) => one.name && !/file|submit/.test(one.type));
const said = (form) =>
  fields(form).filter((one) => one.type !== "radio" || one.checked).map((one) => [one.name, one.value]);
const keep = (form) =>
  localStorage.setItem(draftOf(form), JSON.stringify({ at: Date.now(), words: said(form) }));
const read = (key) => JSON.parse(localStorage.getItem(key) ?? "null");
const unsent = () => Object.keys(localStorage).filter((key) => key.startsWith(OUT));

async function keepPhoto(form, input) {
  const file = input.files[0];
  await photos(...(file ? ["put", await smaller(file), draftOf(form)] : ["delete", draftOf(form)]));
}

async function restore(form) {
  const { at, words } = read(draftOf(form)) ?? {};
  if (!words || Date.now() - at > DAY) return;
  if (!form.elements.text.value)
    for (const one of fields(form))
      for (const [name, value] of words)
        if (one.name === name && one.type === "radio") one.checked = one.value === value;
        else if (one.name === name) one.value = value || one.value;
  const [photo, held] = [await photos("get", draftOf(form)), new DataTransfer()];
  if (!photo || form.elements.photo.files.length) return;
  held.items.add(new File([photo], "photo.jpg", { type: photo.type }));
  form.elements.photo.files = held.files;
}

// First it's unsent, then it's sent: a press is never only on its way.
async function post(form, chip) {
  const words = said(form).concat(chip?.name ? [[chip.name, chip.value]] : []);
  const key = OUT + form.elements.client_key.value;
  const out = { at: Date.now(), action: new URL(form.action).pathname, keep: form.dataset.keep, words };
  localStorage.setItem(key, JSON.stringify(out));
  const file = form.elements.photo.files[0];
  const photo = file && (await smaller(file));
  if (photo) await photos("put", photo, key);
  localStorage.removeItem(draftOf(form));
  await photos("delete", draftOf(form));
  forms.set(key, form);
  tell();
  send(key);
}

async function send(key) {
  const out = read(key);
  if (!out || onTheWay.has(key)) return;
  onTheWay.add(key);
  const [data, photo] = [new FormData(), await photos("get", key)];
  for (const [name, value] of out.words) data.append(name, value);
  if (photo) data.append("photo", photo, "photo.jpg");
  const signal = AbortSignal.timeout(photo ? 120000 : 20000);
  const answer = await ask(out.action, { method: "POST", body: data, signal });
  const html = answer && (await answer.text().catch(() => null));
  const form = forms.get(key);
  onTheWay.delete(key);
  if (html === null) return later(key, "");
  if (answer.status === 429) return later(key, " Many came from here: it waits a while.", 60000);
  if (answer.status >= 500) return later(key, " The server can't keep it just now.");
  if (answer.status === 413 && photo) {
    await photos("delete", key);
    return later(key, " The photo was too large: it goes without.", 0);
  }
  const back = answer.redirected ? null : mainOf(html);
  // What comes back after a mistake is the form again; a fault whose picture was none is kept.
  const isKept = !back || back.dataset.kept || back.dataset.live?.startsWith("/faults/");
  const isMistake = !isKept && answer.status !== 403 && Boolean(back.querySelector("form[data-keep]"));
  if (!isKept && !isMistake) return tell({ [key]: ` It was refused: ${back.querySelector("h1")?.textContent}.` });
  if (isMistake) {
    localStorage.setItem("kitlore draft " + out.keep, JSON.stringify({ at: Date.now(), words: out.words }));
    if (photo) await photos("put", photo, "kitlore draft " + out.keep);
  }
  localStorage.removeItem(key);
  await photos("delete", key);
  tell(isMistake && !form ? { mended: out.action } : answer.redirected && !form ? { sent: answer.url } : {});
  if (!form) return;
  if (!back) return void location.assign(answer.url);
  main.replaceChildren(...back.childNodes);
  for (const one of main.querySelectorAll("form[data-keep]")) restore(one);
  main.focus();
}

function later(key, why, wait = AGAIN) {
  tell({ [key]: why });
  setTimeout(send, wait, key);
}

// What is not sent stands on every page until it is.
const notes = {};
const shown = document.getElementById("unsent");
function line(words, name, press) {
  const one = shown.appendChild(document.createElement("p"));
  one.append(words + " ");
  if (!name) return;
  const way = one.appendChild(document.createElement(typeof press === "string" ? "a" : "button"));
  way.append(name);
  way.className = "press quiet";
  if (typeof press === "string") way.href = press;
  else way.onclick = press;
}
function tell(more = {}) {
  Object.assign(notes, more);
  shown.replaceChildren();
  for (const key of unsent()) {
    const words = read(key).words.find(([name]) => name === "text")?.[1].slice(0, 80) || "a usual symptom";
    const drop = () => (localStorage.removeItem(key), photos("delete", key), tell());
    line(`Not sent yet: “${words}”. It's kept on this device and sent as soon as it can be.${notes[key] ?? ""}`, notes[key] && "Throw it away", drop);
  }
  if (notes.sent) line("Sent now.", "See it", notes.sent);
  if (notes.mended) line("A report could not be taken as it was; it's kept in its form.", "Mend it", notes.mended);
  shown.hidden = !shown.childNodes.length;
}

main.addEventListener("input", (event) => event.target.form?.dataset.keep && keep(event.target.form));
main.addEventListener("change", (event) => event.target.type === "file" && event.target.form?.dataset.keep && keepPhoto(event.target.form, event.target));
main.addEventListener("submit", (event) => {
  if (!event.target.dataset.keep) return;
  event.preventDefault();
  const told = event.target.querySelector("[data-told]");
  if (told.textContent && localStorage.getItem(OUT + event.target.elements.client_key.value)) return; // it's on its way
  told.textContent = "Not sent yet: on its way.";
  post(event.target, event.submitter).catch(() => {
    // No storage here: the browser sends it as it would without us.
    const chip = event.submitter?.name && event.target.appendChild(document.createElement("input"));
    if (chip) [chip.type, chip.name, chip.value] = ["hidden", event.submitter.name, event.submitter.value];
    event.target.submit();
  });
});
for (const form of main.querySelectorAll("form[data-keep]")) restore(form);
for (const key of unsent()) send(key);
addEventListener("storage", () => tell());
addEventListener("online", () => unsent().forEach((key) => send(key)));
tell();
