// A word or some in the blocks of a set, as it is typed.
import { ask, doing, html, under } from "./dom.js";

export async function showWords(main, data) {
  const text = html("textarea", { name: "text", rows: 2, maxlength: 400, spellcheck: "false" }, first());
  const letters = html("input", { type: "text", name: "letters", placeholder: "the set’s", size: 14 });
  const background = html("input", { type: "text", name: "background", placeholder: "the set’s", size: 14 });
  const byEye = html("input", { type: "checkbox", name: "byEye" });
  const shown = html("div", { class: "laid" });
  main.replaceChildren(html("div", { class: "top" }, html("p", { class: "over" }, data.title), html("h1", {}, "Words"),
    html("form", { class: "wish", oninput: soon, onsubmit: (event) => event.preventDefault() },
      html("label", {}, "text, each line a row", text), html("label", {}, "letters", letters),
      html("label", {}, "background", background), html("label", { class: "check" }, byEye, "spaced by eye")),
    html("p", { class: "note" }, "Fabrics by name or colour: kelp, rust, sand, #1f4e5f; several for the letters with commas between. ",
      "{leaf} is a symbol by its name.")), shown);
  let waiting = 0, turn = 0;
  await lay();

  function first() {
    const there = new Set(data.glyphs.filter((glyph) => glyph.pieces.length).map((glyph) => glyph.text));
    return ["KELP", "SOW", "SEED"].find((word) => [...word].every((c) => there.has(c)))
      ?? [...there].filter((c) => c.trim()).slice(0, 4).join("");
  }
  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(lay, 250);
  }
  function lay() {
    const mine = ++turn;
    return doing(async () => {
      const said = await ask(`sets/${under(data.id)}/words`, { text: text.value, letters: letters.value,
        background: background.value, byEye: byEye.checked });
      if (mine !== turn) return;
      shown.replaceChildren(
        html("img", { src: `data:image/svg+xml,${encodeURIComponent(said.drawing)}`, alt: `${text.value}, laid out; finished ${said.finished}` }),
        html("h2", {}, `Finished: ${said.finished}`),
        html("table", {}, html("caption", { class: "aside" }, "Fabric to buy"),
          html("thead", {}, html("tr", {}, html("th", { scope: "col" }, "fabric"), html("th", { scope: "col" }, "to buy"))),
          html("tbody", {}, ...said.fabric.map(([label, , buy]) => html("tr", {}, html("td", {}, label), html("td", {}, buy))))),
        html("h2", {}, "Order of assembly"), html("ol", {}, ...said.steps.map((step) => html("li", {}, step))),
        ...said.notes.map((note) => html("p", { class: "note" }, note)), html("p", { class: "note" }, said.caution));
    });
  }
  return { leave() { clearTimeout(waiting); turn += 1; } };
}
