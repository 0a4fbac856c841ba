// The sets that are there.
import { at, html } from "./dom.js";

export async function showStart(main, sets) {
  main.replaceChildren(html("div", { class: "top" },
    html("p", { class: "over" }, "Foundation-pieced blocks"), html("h1", {}, "Your sets"),
    sets.length ? html("ul", { class: "sets" }, ...sets.map(item))
      : html("p", {}, "There is no converted set in this folder yet.")));
  return {};
}
function item(set) {
  const counts = Object.entries(set.counts).filter(([, n]) => n);
  return html("li", {}, html("a", { href: at(set.id) }, set.title),
    html("p", { class: "facts" }, html("span", {}, `${set.characters} characters`),
      ...counts.map(([status, n]) => html("span", { class: status }, `${n} ${status}`)), html("span", {}, set.folder)));
}
