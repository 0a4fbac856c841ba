// ---- the sheet of characters --------------------------------------------------------------------------
const count = (n, what) => `${n} ${what}${n === 1 ? "" : "s"}`;
const cards = data.glyphs.map((glyph, index) => {
  const [pieces, sections, others] = glyph.counts;
  const why = glyph.why || (pieces ? `${count(pieces, "piece")}, ${count(sections, "section")}` : "");
  const thumb = html("span", { class: "thumb" });
  const button = html("button", { type: "button", "data-index": index, "aria-haspopup": "dialog" },
    thumb,
    html("span", { class: "name" }, html("b", {}, glyph.tag), html("i", { class: glyph.status }, glyph.status)),
    html("span", { class: "why" }, why));
  if (others) button.append(html("span", { class: "more" }, count(others, "alternative")));
  const item = html("li", others ? { class: "pile" } : {}, button);
  const words = [glyph.tag, glyph.name, glyph.text, glyph.key, ...glyph.codes].join(" ").toLowerCase();
  return { glyph, index, item, button, thumb, words };
});
function draw(card) {
  if (!card.thumb.firstChild) card.thumb.append(thumbnail(whole(card)));
}
const watcher = new IntersectionObserver((entries) => {
  for (const entry of entries) if (entry.isIntersecting) {
    draw(cards[find("button", entry.target).dataset.index]);
    watcher.unobserve(entry.target);
  }
}, { rootMargin: "400px" });
cards.forEach((card) => watcher.observe(card.item));
addEventListener("beforeprint", () => current.forEach(draw));

let current = [];
function matches(card, words) {
  const { glyph } = card, text = controls.words.value.trim();
  const wanted = [...controls.status].filter((box) => box.checked).map((box) => box.value);
  if (!wanted.includes(glyph.status)) return false;
  if (controls.finding.value && !glyph.findings.includes(data.findings.indexOf(controls.finding.value))) return false;
  // One character means that character; more are looked for in its names.
  return !text || ([...text].length === 1 ? glyph.text === text : words.every((word) => card.words.includes(word)));
}
function arrange() {
  const words = controls.words.value.trim().toLowerCase().split(/\s+/), order = controls.order.value;
  const figure = data.figures.findIndex(([name]) => name === order);
  const sign = figure >= 0 && data.figures[figure][4] === "low" ? 1 : -1;
  current = cards.filter((card) => matches(card, words));
  current.sort((a, b) => {
    let difference = 0;
    if (order === "status") difference = data.statuses.indexOf(a.glyph.status) - data.statuses.indexOf(b.glyph.status);
    else if (order === "name") difference = a.glyph.name < b.glyph.name ? -1 : a.glyph.name > b.glyph.name ? 1 : 0;
    else if (figure >= 0) {
      const [one, other] = [a.glyph.metrics[figure], b.glyph.metrics[figure]];
      if (one === null || other === null) difference = (one === null) - (other === null);
      else difference = sign * (one - other);
    }
    return difference || a.index - b.index;
  });
  sheet.replaceChildren(...current.map((card) => card.item));
  find(".none").hidden = current.length > 0;
  find("output", tools).value = current.length === cards.length
    ? `${cards.length} shown` : `${current.length} of ${cards.length} shown`;
  document.body.classList.toggle("no-outline", !controls.outline.checked);
}
tools.addEventListener("input", arrange);
tools.addEventListener("submit", (event) => event.preventDefault());
find(".all").addEventListener("click", () => { tools.reset(); arrange(); });
sheet.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button) open(cards[button.dataset.index]);
});

