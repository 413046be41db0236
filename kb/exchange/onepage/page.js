// Search in one file: every word counts by how rare it is, wherever it stands in an entry.
"use strict";

const fold = (text) => text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, "");
const split = (text) => fold(text).match(/[a-z0-9]+/g) ?? [];
const [field, told, list] = ["q", "told", "entries"].map((name) => document.getElementById(name));
const entries = [...list.children].map((node, place) => ({
  node, place,
  title: new Set(split(node.querySelector("summary").textContent)),
  said: new Set(split(node.dataset.said)),
  all: new Set(split(node.textContent)),
}));
const rows = [...document.querySelectorAll("tbody tr")].map((node) => ({ node, words: fold(node.textContent) }));

// One letter too many, too few, another or swapped.
function isNear(one, two) {
  if (one.length < 3 || Math.abs(one.length - two.length) > 1) return false;
  let at = 0;
  while (at < one.length && one[at] === two[at]) at++;
  const rest = (text, from) => text.slice(from);
  return rest(one, at + 1) === rest(two, at + 1) || rest(one, at + 1) === rest(two, at)
    || rest(one, at) === rest(two, at + 1)
    || (one[at] === two[at + 1] && one[at + 1] === two[at] && rest(one, at + 2) === rest(two, at + 2));
}
// A word that stands nowhere is a slip of the fingers; any other is meant as it stands.
const known = new Set(entries.flatMap((one) => [...one.all, ...one.said]));
function alike(word, other, isKnown) {
  if (word === other) return 1;
  if (word.length > 3 && other.startsWith(word.slice(0, -1))) return 0.7;
  return !isKnown && isNear(word, other) ? 0.5 : 0;
}
const best = (word, words) => Math.max(0, ...[...words].map((other) => alike(word, other, known.has(word))));

function find() {
  const words = [...new Set(split(field.value))];
  const matched = words.map((word) =>
    entries.map((one) => Math.max(3 * best(word, one.title), 2 * best(word, one.said), best(word, one.all))));
  const scores = entries.map(() => 0);
  for (const found of matched) {
    const rare = Math.log(1 + entries.length / (1 + found.filter(Boolean).length));
    found.forEach((value, place) => (scores[place] += value * rare));
  }
  const order = [...entries].sort((a, b) => scores[b.place] - scores[a.place] || a.place - b.place);
  const top = scores[order[0]?.place] ?? 0;
  for (const one of order) {
    one.node.hidden = words.length > 0 && scores[one.place] < top / 3 || (words.length > 0 && !top);
    list.append(one.node);
  }
  for (const { node, words: text } of rows) node.hidden = !split(field.value).every((word) => text.includes(word));
  told.textContent = words.length ? `${order.filter((one) => !one.node.hidden).length} entries, ${rows.filter((one) => !one.node.hidden).length} rows below` : "";
}
field.addEventListener("input", find);
