// ---- the sheet of characters --------------------------------------------------------------------------
const count = (n, what) => `${n} ${what}${n === 1 ? "" : "s"}`;
const AT_ONCE = 300;  // cards put into the page at a time; the next follow before they come into view
const rest = find(".rest");

/** A character on the sheet; what shows it is made when it is first needed, as there may be thousands. */
class Card {
  constructor(glyph, index) {
    this.glyph = glyph;
    this.index = index;
    this.words = [glyph.tag, glyph.name, glyph.text, glyph.key, ...glyph.codes].join(" ").toLowerCase();
  }
  get item() { return this.made ??= this.make(); }
  get button() { return find("button", this.item); }
  get thumb() { return find(".thumb", this.item); }
  make() {
    const { glyph, index } = this, [pieces, sections, others] = glyph.counts;
    const why = glyph.why || (pieces ? `${count(pieces, "piece")}, ${count(sections, "section")}` : "");
    const button = html("button", { type: "button", "data-index": index, "aria-haspopup": "dialog" },
      html("span", { class: "thumb" }),
      html("span", { class: "name" }, html("b", {}, glyph.tag), html("i", { class: glyph.status }, glyph.status)),
      html("span", { class: "why" }, why));
    if (others) button.append(html("span", { class: "more" }, count(others, "alternative")));
    const item = html("li", others ? { class: "pile" } : {}, button);
    watcher.observe(item);
    return item;
  }
}
function draw(card) {
  if (!card.thumb.firstChild) card.thumb.append(thumbnail(whole(card)));
}
const watcher = new IntersectionObserver((entries) => {
  for (const entry of entries) if (entry.isIntersecting) {
    draw(cards[find("button", entry.target).dataset.index]);
    watcher.unobserve(entry.target);
  }
}, { rootMargin: "400px" });
const cards = data.glyphs.map((glyph, index) => new Card(glyph, index));
addEventListener("beforeprint", () => { fill(current.length); current.forEach(draw); });

let current = [];  // the cards that match, in their order; the first of them are in the page
const inPage = () => current.slice(0, sheet.childElementCount);
/** Puts cards into the page until there are so many. */
function fill(many) {
  sheet.append(...current.slice(sheet.childElementCount, Math.ceil(many / AT_ONCE) * AT_ONCE).map((card) => card.item));
  rest.hidden = sheet.childElementCount === current.length;
}
new IntersectionObserver((entries, observer) => {
  if (!entries.at(-1).isIntersecting) return;
  fill(sheet.childElementCount + 1);
  observer.unobserve(rest);  // it may be as near as before, of which nothing would be told
  observer.observe(rest);
}, { rootMargin: "2000px" }).observe(rest);

/** What is looked for: a function that says whether a card is. */
function wanted() {
  const text = controls.words.value.trim(), words = text.toLowerCase().split(/\s+/);
  const statuses = new Set([...controls.status].filter((box) => box.checked).map((box) => box.value));
  const finding = controls.finding.value ? data.findings.indexOf(controls.finding.value) : null;
  // One character means that character; more are looked for in its names.
  const alone = [...text].length === 1;
  return ({ glyph, words: names }) => statuses.has(glyph.status)
    && (finding === null || glyph.findings.includes(finding))
    && (!text || (alone ? glyph.text === text : words.every((word) => names.includes(word))));
}
function arrange() {
  const order = controls.order.value;
  const figure = data.figures.findIndex(([name]) => name === order);
  const sign = figure >= 0 && data.figures[figure][4] === "low" ? 1 : -1;
  current = cards.filter(wanted());
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
  sheet.replaceChildren();
  fill(1);
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

