// All characters of a set; each leads to its own page, families of like letters to theirs.
import { ask, at, count, find, html, under } from "./dom.js";
import { picture, whenSeen } from "./drawing.js";

const kept = new Map();  // of each set, what was looked for, so that it is there again on the way back

export const coloured = (data, pieces) => pieces.map(([id, fabric, corners]) => [id, data.fabrics[fabric], corners]);

export async function showSheet(main, first) {
  let data = first;
  const wanted = kept.get(data.id) ?? { statuses: new Set(data.statuses), words: "", order: "status", top: 0 };
  kept.set(data.id, wanted);
  const sheet = html("ul", { class: "sheet", "aria-label": "Characters" });
  const none = html("p", { class: "none", hidden: true }, "No character matches.");
  const shown = html("output", { "aria-live": "polite" });
  const tools = toolbar();
  const top = html("div", { class: "top" });
  main.replaceChildren(top, tools, html("div", { class: "page" }, sheet, none));
  const watcher = whenSeen((item) => find(".thumb", item).append(drawn(item.glyph)));
  fill();
  scrollTo(0, wanted.top);

  function drawn(glyph) {
    return picture(glyph.size, coloured(data, glyph.pieces), glyph.guide);
  }
  function toolbar() {
    const form = html("form", { class: "tools", role: "search", autocomplete: "off", "aria-label": "Filter the characters",
      onsubmit: (event) => event.preventDefault(), oninput: look });
    form.append(html("fieldset", { class: "statuses" }, html("legend", { class: "aside" }, "Status"),
      ...Object.entries(data.counts).map(([status, [n, meaning]]) => html("label", { class: `status ${status}`, title: meaning },
        html("input", { type: "checkbox", name: "status", value: status, checked: wanted.statuses.has(status) }),
        html("b", {}, String(n)), " ", html("span", {}, status)))),
      html("label", {}, "find ", html("input", { type: "search", name: "words", value: wanted.words, spellcheck: "false" })),
      html("label", {}, "order ", html("select", { name: "order" },
        ...[["status", "redesign first"], ["font", "as in the set"]].map(([value, text]) =>
          html("option", { value, selected: value === wanted.order }, text)))),
      html("label", {}, "family ", html("select", { name: "family", onchange: (event) => {
        if (event.target.value) location.hash = at(data.id, "family", event.target.value);
      } }, html("option", { value: "" }, "compare …"),
        ...data.families.map(([name, keys]) => html("option", { value: name }, `${name} (${keys.length})`)))),
      shown);
    return form;
  }
  function look() {
    wanted.statuses = new Set([...tools.elements.status].filter((box) => box.checked).map((box) => box.value));
    wanted.words = tools.elements.words.value;
    wanted.order = tools.elements.order.value;
    arrange();
  }
  function fill() {
    const pieces = data.glyphs.reduce((sum, g) => sum + g.pieces.length, 0);
    top.replaceChildren(html("p", { class: "over" }, "Foundation-pieced blocks, made from"), html("h1", {}, data.title),
      html("p", { class: "facts" }, ...[`${data.glyphs.length} characters`, `block ${data.size}`, `${pieces} pieces`,
        data.edited.length ? `${data.edited.length} redrawn by hand` : ""].filter(Boolean).map((t) => html("span", {}, t))),
      html("p", { class: "ways" }, html("a", { href: at(data.id, "paper") }, "Paper: the PDFs to print"),
        html("a", { href: at(data.id, "words") }, "Words in these blocks")));
    if (!data.font) top.append(html("p", { class: "note" }, `The font ${data.file} was not found. You can redraw and choose; `,
      "to convert letters anew, start again with --font and where it is."));
    for (const label of tools.querySelectorAll(".statuses label"))
      find("b", label).textContent = data.counts[find("input", label).value][0];
    arrange();
  }
  function arrange() {
    const words = wanted.words.trim().toLowerCase().split(/\s+/).filter(Boolean);
    const some = data.glyphs.filter((g) => wanted.statuses.has(g.status) && matches(g, words));
    if (wanted.order === "status")
      some.sort((a, b) => data.statuses.indexOf(a.status) - data.statuses.indexOf(b.status));
    watcher.disconnect();
    sheet.replaceChildren(...some.map(card));
    for (const item of sheet.children) watcher.observe(item);
    none.hidden = some.length > 0;
    shown.value = some.length === data.glyphs.length ? `${some.length} shown` : `${some.length} of ${data.glyphs.length} shown`;
  }
  function matches(glyph, words) {
    if (words.length === 1 && [...wanted.words.trim()].length === 1) return glyph.text === wanted.words.trim();
    const text = [glyph.tag, glyph.name, glyph.key, ...glyph.codes].join(" ").toLowerCase();
    return words.every((word) => text.includes(word));
  }
  function card(glyph) {
    const why = glyph.reasons.find(([, severity]) => severity !== "note")?.[2]
      ?? (glyph.pieces.length ? `${count(glyph.pieces.length, "piece")}, ${count(glyph.sections.length, "section")}` : "");
    const more = [data.edited.includes(glyph.key) ? "redrawn by hand" : "",
      glyph.others ? count(glyph.others.length, "alternative") : ""].filter(Boolean).join(" · ");
    const link = html("a", { class: "card", href: at(data.id, "letter", glyph.key) },
      html("span", { class: "thumb" }), html("span", { class: "name" }, html("b", {}, glyph.tag), " ",
        html("i", { class: glyph.status }, glyph.status)), html("span", { class: "why" }, why),
      more ? html("span", { class: "more" }, more) : null);
    const item = html("li", glyph.others ? { class: "pile" } : {}, link);
    item.glyph = glyph;
    return item;
  }
  async function hear(kind, { set }) {
    if (kind !== "changed" || (set && set !== data.id)) return;
    data = await ask(`sets/${under(data.id)}`);
    fill();
  }
  return { hear, leave() { wanted.top = scrollY; watcher.disconnect(); } };
}
