// Search in what is carried: words in title and symptoms, rare ones count more, half words too.
const field = document.getElementById("asked");
const list = document.getElementById("entries");
const told = document.getElementById("told");
const words = (text) => text.toLowerCase().match(/[\p{L}\p{N}]+/gu) || [];
const entries = [...list.children].map((node, order) => {
  const count = new Map();
  for (const word of words(node.dataset.said)) count.set(word, (count.get(word) || 0) + 1);
  return { node, count, order };
});
const holders = new Map();
for (const { count } of entries) for (const word of count.keys()) holders.set(word, (holders.get(word) || 0) + 1);
const gear = [...document.querySelectorAll("#gear tbody tr")];
const near = (a, b) => {
  if (Math.abs(a.length - b.length) > 1 || a[0] !== b[0]) return false;
  let i = 0;
  while (i < a.length && a[i] === b[i]) i += 1;
  return [[1, 1], [1, 0], [0, 1]].some(([x, y]) => a.slice(i + x) === b.slice(i + y))
    || (a[i] === b[i + 1] && a[i + 1] === b[i] && a.slice(i + 2) === b.slice(i + 2));
};
const read = (word, last) => {
  const known = [...holders.keys()];
  if (holders.has(word) && !last) return [word];
  const begun = word.length > 2 ? known.filter((one) => one.startsWith(word)) : [];
  if (begun.length || holders.has(word)) return [...new Set([...(holders.has(word) ? [word] : []), ...begun])];
  return word.length > 3 ? known.filter((one) => near(word, one)) : [];
};
const look = () => {
  const asked = words(field.value);
  const scores = new Map(entries.map((one) => [one, 0]));
  asked.forEach((word, at) => {
    for (const one of entries) {
      let best = 0;
      for (const way of read(word, at === asked.length - 1)) {
        const times = one.count.get(way) || 0;
        const rare = Math.log(1 + entries.length / (holders.get(way) || 1));
        best = Math.max(best, (rare * times * 2.2) / (times + 1.2));
      }
      scores.set(one, scores.get(one) + best);
    }
  });
  const order = [...entries].sort((a, b) => scores.get(b) - scores.get(a) || a.order - b.order);
  for (const one of order) {
    one.node.hidden = asked.length > 0 && !scores.get(one);
    list.append(one.node);
  }
  for (const row of gear) {
    const text = row.textContent.toLowerCase();
    row.hidden = asked.length > 0 && !asked.every((word) => text.includes(word));
  }
  const shown = order.filter((one) => !one.node.hidden).length;
  told.textContent = asked.length ? `${shown} of ${order.length} entries, the likeliest first` : "";
};
field.addEventListener("input", look);
