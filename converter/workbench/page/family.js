// Like letters side by side, each with all its figures; a click takes one, a button one for all.
import { ask, at, count, doing, html, tell, under } from "./dom.js";
import { picture } from "./drawing.js";
import { coloured } from "./sheet.js";

const pieces = (figure) => figure.pieces.length + 0.9 * figure.sections.length;

export async function showFamily(main, first, name) {
  let data = first;
  const overlap = data.figures.findIndex(([figure]) => figure === "iou");
  const rules = [
    ["the converter’s first", () => (a, b) => a.number - b.number],
    ["fewest pieces and sections", () => (a, b) => pieces(a) - pieces(b) || a.number - b.number],
    ["closest to the font", () => (a, b) => b.metrics[overlap] - a.metrics[overlap] || a.number - b.number],
  ];
  const figuresOf = (glyph) => [glyph, ...(glyph.others ?? [])].filter((f) => f.number).sort((a, b) => a.number - b.number);
  fill();

  function members() {
    const keys = new Set(data.families.find(([family]) => family === name)?.[1]);
    return data.glyphs.filter((glyph) => keys.has(glyph.key));
  }

  function fill() {
    const letters = members();
    main.replaceChildren(
      html("div", { class: "top" }, html("p", { class: "over" }, data.title), html("h1", {}, name),
        html("div", { class: "row", role: "img", "aria-label": `As chosen: ${letters.map((g) => g.tag).join(" ")}` },
          ...letters.map((glyph) => picture(glyph.size, coloured(data, glyph.pieces)))),
        html("div", { class: "acts", role: "group", "aria-label": "For all of these letters" },
          html("span", {}, "For all:"), ...rules.map(([text, rule]) =>
            html("button", { type: "button", onclick: () => takeAll(rule()) }, text)),
          html("label", {}, "detail ", html("select", { disabled: !data.font, onchange: (event) => detail(event.target.value) },
            html("option", { value: "" }, "choose …"), html("option", { value: "-" }, `the set’s (${data.detail})`),
            ...data.details.map((d) => html("option", { value: d }, d)))))),
      html("div", { class: "page families" }, ...letters.map(row)));
  }
  function row(glyph) {
    const figures = figuresOf(glyph), isEdited = data.edited.includes(glyph.key);
    return html("section", { "aria-label": glyph.tag },
      html("h2", {}, html("a", { href: at(data.id, "letter", glyph.key) }, glyph.tag)),
      isEdited ? html("p", { class: "note" }, "Redrawn by hand, and stays so.") : null,
      html("ol", { class: "choices" }, ...(isEdited ? [choice(glyph, glyph, true)] : []),
        ...(figures.length ? figures : isEdited ? [] : [glyph]).map((figure) => choice(glyph, figure, figure === glyph))));
  }
  function choice(glyph, figure, isChosen) {
    const n = figure.number ? `figure ${figure.number}` : data.edited.includes(glyph.key) ? "by hand" : "the only figure";
    return html("li", {},
      html("button", { type: "button", class: "look", "aria-pressed": String(isChosen), disabled: !figure.number || isChosen,
        "aria-label": `Take ${n} of ${glyph.tag}`, onclick: () => take({ [glyph.name]: figure.number }) },
        picture(glyph.size, coloured(data, figure.pieces), glyph.guide)),
      html("p", { class: "grade" }, html("b", {}, n), isChosen ? " · chosen" : "", " · ",
        html("span", { class: figure.status }, figure.status)),
      html("p", { class: "why" }, `${count(figure.pieces.length, "piece")}, ${count(figure.sections.length, "section")}`,
        figure.metrics[overlap] === null ? "" : `, overlap ${(100 * figure.metrics[overlap]).toFixed(1)}%`));
  }
  function takeAll(order) {
    const numbers = {};
    for (const glyph of members()) {
      const best = figuresOf(glyph).filter((figure) => figure.pieces.length).sort(order)[0];
      if (best && best !== glyph && !data.edited.includes(glyph.key)) numbers[glyph.name] = best.number;
    }
    if (Object.keys(numbers).length) take(numbers);
    else tell("All of them are chosen already.");
  }
  const take = (numbers) => change(Object.fromEntries(Object.entries(numbers).map(([glyph, n]) =>
    [glyph, { alternative: n === 1 ? null : n }])));
  const detail = (value) => value && change(Object.fromEntries(members().map((glyph) =>
    [glyph.name, { detail: value === "-" ? null : value }])));
  function change(changes) {
    return doing(async () => {
      tell(`Making ${count(Object.keys(changes).length, "letter")} …`);
      const { changed } = await ask(`sets/${under(data.id)}/choices`, { changes });
      data = await ask(`sets/${under(data.id)}`);
      fill();
      tell(`Saved: ${count(changed.length, "letter")} changed.`);
    });
  }
  async function hear(kind, said) {
    if (kind === "made" && said.set === data.id) tell(`Made: ${said.name}`);
    if (kind === "changed" && (!said.set || said.set === data.id)) {
      data = await ask(`sets/${under(data.id)}`);
      fill();
    }
  }
  return { hear };
}
