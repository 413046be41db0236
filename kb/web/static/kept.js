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
  fields(form).filter((one) => !/radio|checkbox/.test(one.type) || one.checked).map((one) => [one.name, one.value]);
// What was typed, and over what: where something else stands by now, that isn't overwritten.
const typedIn = (form) =>
  fields(form).filter(isTyped).map((one) => [one.id, one.value, one.checked, one.defaultValue]);
const keep = (form) =>
  localStorage.setItem(draftOf(form), JSON.stringify({ at: Date.now(), typed: typedIn(form) }));
const read = (key) => JSON.parse(localStorage.getItem(key) ?? "null");
const unsent = () => Object.keys(localStorage).filter((key) => key.startsWith(OUT));

async function keepPhoto(form, input) {
  const file = input.files[0];
  await photos(...(file ? ["put", await smaller(file), draftOf(form)] : ["delete", draftOf(form)]));
}

async function restore(form) {
  const { at, typed } = read(draftOf(form)) ?? {};
  if (!typed || Date.now() - at > DAY) return;
  const open = () => form.closest("details")?.setAttribute("open", "");
  for (const [id, value, checked, over] of typed) {
    const one = form.querySelector("#" + CSS.escape(id));
    if (!one || (one.defaultValue ?? null) !== (over ?? null)) continue;
    [one.value, one.checked] = [value, checked];
    open();
  }
  const [input, photo, held] = [form.elements.photo, await photos("get", draftOf(form)), new DataTransfer()];
  if (!photo || !input || input.files.length) return;
  held.items.add(new File([photo], "photo.jpg", { type: photo.type }));
  input.files = held.files;
  open();
}

// First it's unsent, then it's sent: a press is never only on its way.
const pathOf = (form) => new URL(form.getAttribute("action"), location).pathname;
const wordsOf = (form, press) => said(form).concat(press?.name ? [[press.name, press.value]] : []);
const content = (words) => JSON.stringify(words.filter(([name]) => name !== "client_key"));
function isOnItsWay(form, press) {
  const [path, words] = [pathOf(form), content(wordsOf(form, press))];
  const isSame = ({ action, words: sent, refused }) => !refused && action === path && content(sent) === words;
  const isSent = (key) => key === OUT + form.elements.client_key.value;
  return unsent().some((key) => isSent(key) || (!form.elements.photo && isSame(read(key))));
}
async function post(form, press) {
  if (isOnItsWay(form, press)) return; // impatient
  const [key, words] = [OUT + form.elements.client_key.value, wordsOf(form, press)];
  const typed = ["text", "what", "note"].map((name) => form.elements[name]?.value).find(Boolean);
  const told = [form.dataset.said, press?.name && press.textContent, typed].filter(Boolean).join(": ").slice(0, 80);
  const out = { at: Date.now(), action: pathOf(form), keep: form.dataset.keep, words, told };
  Object.assign(out, { typed: typedIn(form), page: location.pathname + location.search });
  const file = form.elements.photo?.files[0];
  out.photo = Boolean(file);
  localStorage.setItem(key, JSON.stringify(out));
  const photo = file && (await smaller(file));
  if (photo) await photos("put", photo, key);
  localStorage.removeItem(draftOf(form));
  if (file) await photos("delete", draftOf(form));
  forms.set(key, form);
  tell();
  send(key);
}

async function send(key) {
  const out = read(key);
  if (!out || onTheWay.has(key)) return;
  onTheWay.add(key);
  const [data, photo] = [new FormData(), out.photo === false ? null : await photos("get", key)];
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
  if (answer.status === 413 && photo && out.words.some(([name]) => name === "text")) {
    await photos("delete", key);
    return later(key, " The photo was too large: it goes without.", 0);
  }
  const back = answer.redirected ? null : mainOf(html);
  if (!back && !answer.redirected) return later(key, ""); // no answer of ours
  // What comes back after a mistake is the form again; a fault whose picture was none is kept.
  const isNew = !out.action.startsWith("/faults/");
  const isKept = !back || back.dataset.kept || (isNew && back.dataset.live?.startsWith("/faults/"));
  const isMistake =
    !isKept && answer.status !== 403 && Boolean(back.querySelector(`form[data-keep="${CSS.escape(out.keep)}"]`));
  const why = isKept ? "" : whyOf(back);
  if (!isKept && !isMistake) {
    out.refused = answer.status === 403 ? "" : why; // that isn't mended by waiting
    localStorage.setItem(key, JSON.stringify(out));
    if (form && back.dataset.live) show(back);
    return tell({ [key]: ` It was refused: ${why}` });
  }
  if (isMistake) {
    localStorage.setItem("kitlore draft " + out.keep, JSON.stringify({ at: Date.now(), typed: out.typed }));
    if (photo) await photos("put", photo, "kitlore draft " + out.keep);
  }
  localStorage.removeItem(key);
  await photos("delete", key);
  tell(isMistake && !form ? { mended: out.page, why } : answer.redirected && !form ? { sent: answer.url } : {});
  if (!form) return;
  if (!back) return void location.assign(answer.url);
  show(back);
}

const whyOf = (back) =>
  [...back.querySelectorAll(".problems li")].map((one) => one.textContent).join(" ") ||
  `${back.querySelector("h1")?.textContent}.`;
function show(back) {
  Object.assign(main.dataset, back.dataset);
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
function line(words, ways) {
  const one = shown.appendChild(document.createElement("p"));
  one.append(words + " ");
  for (const [name, press] of Object.entries(ways)) {
    const way = one.appendChild(document.createElement(typeof press === "string" ? "a" : "button"));
    one.append(" ");
    way.append(name);
    way.className = "press quiet";
    if (typeof press === "string") way.href = press;
    else way.onclick = press;
  }
}
function tell(more = {}) {
  Object.assign(notes, more);
  shown.replaceChildren();
  for (const key of unsent()) {
    const { told = "a report", refused, page } = read(key);
    const drop = () => (localStorage.removeItem(key), photos("delete", key), tell());
    const note = refused ? ` It was refused: ${refused}` : (notes[key] ?? "");
    const when = refused ? "It's kept on this device until you send it again." : "It's kept on this device and sent as soon as it can be.";
    const again = refused && { "Look at it": page, "Send it again": () => (onTheWay.has(key) ? null : send(key)) };
    line(`Not sent yet: “${told}”. ${when}${note}`, { ...again, ...(note && { "Throw it away": drop }) });
  }
  if (notes.sent) line("Sent now.", { "See it": notes.sent });
  if (notes.mended) line(`It could not be taken as it was: ${notes.why} What you wrote is kept in its form.`, { "Mend it": notes.mended });
  shown.hidden = !shown.childNodes.length;
}

main.addEventListener("input", (event) => event.target.form?.dataset.keep && keep(event.target.form));
main.addEventListener("change", (event) => event.target.type === "file" && event.target.form?.dataset.keep && keepPhoto(event.target.form, event.target));
main.addEventListener("submit", (event) => {
  if (!event.target.dataset.keep) return;
  event.preventDefault();
  const [form, told] = [event.target, event.target.querySelector("[data-told]")];
  told.textContent = "Not sent yet: on its way.";
  post(form, event.submitter).catch(() => {
    // No storage here: the browser sends it as it would without us.
    const chip = event.submitter?.name && form.appendChild(document.createElement("input"));
    if (chip) [chip.type, chip.name, chip.value] = ["hidden", event.submitter.name, event.submitter.value];
    form.submit();
  });
});
for (const form of main.querySelectorAll("form[data-keep]")) restore(form);
const sendAll = () => unsent().filter((key) => !read(key).refused).forEach((key) => send(key));
sendAll();
addEventListener("storage", () => tell());
addEventListener("online", sendAll);
tell();
