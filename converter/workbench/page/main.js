// Where one is, and what is shown there. Each view is a function: it fills the page, and gives what hears of changes.
import { ask, at, doing, find, html, tell } from "./dom.js";
import { showFamily } from "./family.js";
import { showLetter } from "./letter.js";
import { showPaper } from "./paper.js";
import { showSheet } from "./sheet.js";
import { showStart } from "./start.js";
import { showWords } from "./words.js";

const main = find("main"), crumbs = find(".crumbs");
let view = null, shown = "";

const views = { "": showSheet, family: showFamily, letter: showLetter, paper: showPaper, words: showWords };

function place() {
  return location.hash.replace(/^#\/?/, "").split("/").filter(Boolean).map(decodeURIComponent);
}
async function show() {
  const [set, kind = "", name = ""] = place(), here = location.hash;
  view?.leave?.();
  view = null;
  main.replaceChildren(html("p", { class: "wait" }, "Loading …"));
  tell("");
  const done = await doing(async () => {
    if (!set) {
      const { sets, ...options } = await ask("sets");
      if (sets.length === 1 && !location.hash && options.isOne) { location.replace(at(sets[0].id)); return true; }
      crumb([]);
      view = await showStart(main, sets, options);
    } else {
      const data = await ask(`sets/${encodeURIComponent(set)}`);
      if (here !== location.hash) return true;
      crumb([[data.title, at(set)], ...(kind ? [[titleOf(kind, name, data), here]] : [])]);
      view = await (views[kind] ?? showSheet)(main, data, name);
    }
    if (shown) main.focus({ preventScroll: true });
    shown = here || "start";
    return true;
  });
  if (!done && here === location.hash && find(".wait", main))
    main.replaceChildren(html("p", { class: "wait" }, html("button", { type: "button", onclick: show }, "Try again")));
}
function titleOf(kind, name, data) {
  if (kind === "paper" || kind === "words") return kind === "paper" ? "Paper" : "Words";
  return kind === "letter" ? data.glyphs.find((g) => g.key === name)?.tag ?? name : name;
}
function crumb(steps) {
  crumbs.replaceChildren(...[["Sets", "#/"], ...steps].map(([text, href], i, all) =>
    html("a", { href, ...(i === all.length - 1 ? { "aria-current": "page" } : {}) }, text)));
  document.title = steps.length ? `${steps.at(-1)[0]}: foundation-pieced blocks` : "Foundation-pieced blocks";
}

addEventListener("hashchange", show);
const events = new EventSource("api/events");
let waiting = 0, greeted = false;
for (const kind of ["changed", "made", "progress"]) events.addEventListener(kind, (event) => {
  const said = JSON.parse(event.data);
  if (kind !== "changed") { view?.hear?.(kind, said); return; }
  clearTimeout(waiting);
  waiting = setTimeout(() => doing(() => view?.hear?.(kind, said)), 150);
});
events.addEventListener("hello", () => {
  if (greeted) { tell("The program answers again."); view?.hear?.("changed", {}); }
  greeted = true;
});
events.addEventListener("error", () => tell(
  "The program does not answer. What was shown as saved is saved; start it again to go on.", true));
await show();
