// The sets that are there, and a place to drop a font for a new one.
import { ask, at, count, doing, html, tell } from "./dom.js";
import { picture } from "./drawing.js";

export async function showStart(main, sets, options) {
  const list = html("ul", { class: "sets" }, ...sets.map(item));
  const field = html("input", { type: "file", accept: ".ttf,.otf,.woff,.woff2,.ttc,.otc", class: "aside",
    onchange: () => field.files[0] && take(field.files[0]) });
  const drop = html("label", { class: "drop", ondragover: over, ondragleave: () => drop.classList.remove("over"), ondrop: dropped },
    html("b", {}, "Drop a font here"), html("span", {}, "or choose a file: TTF, OTF, WOFF, WOFF2"), field);
  const wish = html("section", { class: "wish", hidden: true, "aria-label": "What to convert" });
  const going = html("section", { class: "going", hidden: true, "aria-label": "The conversion" });
  main.replaceChildren(html("div", { class: "top" }, html("p", { class: "over" }, "Foundation-pieced blocks"),
    html("h1", {}, "Your sets"), sets.length ? list : html("p", {}, "There is no converted set in this folder yet."),
    html("h2", {}, "A new set"), drop, wish, going));
  let bar = null, grid = null, done = 0;

  function over(event) {
    event.preventDefault();
    drop.classList.add("over");
  }
  function dropped(event) {
    event.preventDefault();
    drop.classList.remove("over");
    if (event.dataTransfer.files[0]) take(event.dataTransfer.files[0]);
  }
  function take(file) {
    return doing(async () => {
      tell(`Reading ${file.name} …`);
      const answer = await fetch("api/fonts", { method: "POST", body: file, headers: { "X-Name": encodeURIComponent(file.name) } });
      const said = await answer.json().catch(() => ({ error: "The file is too large for a font." }));
      if (!answer.ok) throw new Error(said.error);
      tell("");
      asking(said);
    });
  }
  function asking(font) {
    const some = options.characters, first = Object.entries(some).find(([name]) => font.has.includes(name));
    const text = html("input", { type: "text", name: "text", value: first?.[1] ?? "", required: true, size: 34, spellcheck: "false" });
    const fill = (value) => { text.value = value; };
    const menu = (name, label, values, usual) => html("label", {}, label, html("select", { name },
      ...values.map((value) => html("option", { value, selected: value === usual }, value))));
    const form = html("form", { onsubmit: (event) => { event.preventDefault(); start(form, font); } },
      html("label", {}, "characters", text),
      html("p", { class: "acts" }, ...font.has.map((name) => html("button", { type: "button", onclick: () => fill(some[name]) }, name)),
        html("button", { type: "button", onclick: () => fill("*") }, `all ${font.characters}`)),
      html("label", {}, "block", html("input", { type: "text", name: "block", value: "3x4in", size: 10, required: true })),
      menu("detail", "detail", options.details, "balanced"), menu("effort", "effort", options.efforts, "normal"),
      html("label", {}, "folder", html("input", { type: "text", name: "name", value: font.name, required: true })),
      font.verdict === "open" ? null : html("label", { class: "wide" }, "your word on the licence: who checked it, when, why",
        html("input", { type: "text", name: "checked", size: 40 })),
      html("p", {}, html("button", { class: "main" }, "Convert")));
    wish.replaceChildren(html("h3", {}, font.title), font.warning ? html("p", { class: "note" }, font.warning) : "", form);
    wish.hidden = false;
    text.focus();
  }
  function start(form) {
    return doing(async () => {
      const { total, missing } = await ask("start", Object.fromEntries(new FormData(form)));
      bar = html("progress", { max: total, value: 0, "aria-label": "Letters made" });
      grid = html("div", { class: "row" });
      done = 0;
      going.replaceChildren(html("p", {}, bar, " ", html("button", { type: "button", onclick: () => doing(() => ask("stop", {})) }, "Stop")),
        missing.length ? html("p", { class: "note" }, `Not in the font: ${missing.join(", ")}`) : "", grid);
      going.hidden = false;
      wish.hidden = true;
      tell(`Converting ${count(total, "character")} …`);
    });
  }
  function hear(kind, said) {
    if (kind === "made" && said.total && bar) {
      bar.value = ++done;
      grid.append(picture(said.size, said.pieces, "", `${said.tag}: ${said.status}`));
      tell(`${done} of ${said.total}: ${said.tag}`);
    } else if (kind === "progress") {
      going.hidden = true;
      if (said.done) location.hash = at(said.done);
      else { wish.hidden = false; tell(said.error ?? "Stopped; nothing was written.", Boolean(said.error)); }
    }
  }
  return { hear };
}
function item(set) {
  const counts = Object.entries(set.counts).filter(([, n]) => n);
  return html("li", {}, html("a", { href: at(set.id) }, set.title),
    html("p", { class: "facts" }, html("span", {}, `${set.characters} characters`),
      ...counts.map(([status, n]) => html("span", { class: status }, `${n} ${status}`)), html("span", {}, set.folder)));
}
