// One letter: its figure to be changed, what that comes to, what can be chosen instead, what is set for it.
import { ask, at, doing, find, html, tell, under } from "./dom.js";
import { picture } from "./drawing.js";
import { Editor } from "./editor.js";
import { History } from "./history.js";
import { settingsOf } from "./own.js";
import { coloured } from "./sheet.js";

export async function showLetter(main, first, key) {
  let data = first, letter = await ask(`sets/${under(data.id, "letters", key)}`);
  const history = new History(`draft ${data.id} ${key}`, letter.known, letter.figure);
  if (history.known !== letter.known) tell("This block was saved by another program since; saving will show both.");
  const editor = new Editor(data, letter, history, follow);
  const buttons = {};
  let isWorking = false;
  const button = (name, text, act, keys) => buttons[name] = html("button",
    { type: "button", onclick: act, ...(keys ? { "aria-keyshortcuts": keys, title: keys } : {}) }, text);
  const acts = html("div", { class: "acts", role: "group", "aria-label": "Change the figure" },
    button("undo", "Undo", () => step(-1), "Control+Z"), button("redo", "Redo", () => step(1), "Control+Shift+Z"),
    button("add", "Add a corner", () => editor.add(), "Insert"), button("drop", "Drop the corner", () => editor.drop(), "Delete"),
    button("converters", "As converted", converters), button("save", "Save", () => save(), "Control+S"));
  buttons.save.classList.add("main");
  const shown = html("div", { class: "show", role: "group", "aria-label": "What is shown, and what holds" },
    letter.symmetric ? box("both", "both sides alike", true) : null, box("snap", "snap", true), box("seams", "seams", true),
    box("numbers", "numbers", true), box("guide", "font’s outline", true), box("lines", "lines of the set", true));
  const reasons = html("ol", { class: "reasons" }), figures = html("dl", { class: "figures" });
  const clash = html("section", { class: "clash", hidden: true, "aria-label": "Two versions" });
  const others = html("section", { class: "choice", "aria-labelledby": "choice", hidden: true });
  const own = html("section", { class: "own", "aria-labelledby": "own" });
  const steps = neighbours();
  const status = html("p", { class: "sub" });
  main.replaceChildren(html("div", { class: "letter" },
    html("div", { class: "bar" }, html("h1", {}, letter.tag), status, steps), clash,
    html("section", { class: "left", "aria-label": "The figure" }, acts, editor.drawing, shown,
      html("p", { class: "keys" }, "Drag corners and edges; double-click an edge to add a corner. By keyboard: Tab into the drawing, ",
        "PageUp and PageDown go from corner to edge, the arrows move by the grid, with Shift by a quarter of it.")),
    html("section", { class: "right", "aria-label": "What it comes to" }, html("h2", {}, "Figures"), figures,
      html("h2", {}, "Findings"), reasons, own), others));
  editor.begin();
  fill();

  function box(name, text, isOn) {
    return html("label", { class: "check" }, html("input", { type: "checkbox", name, checked: isOn,
      onchange: (event) => editor.show(name, event.target.checked) }), text);
  }
  function neighbours() {
    const here = data.glyphs.findIndex((glyph) => glyph.key === key);
    const link = (glyph, text) => glyph ? html("a", { href: at(data.id, "letter", glyph.key) }, text(glyph.tag)) : "";
    return html("nav", { "aria-label": "Other characters" }, link(data.glyphs[here - 1], (t) => `← ${t}`), " ",
      link(data.glyphs[here + 1], (t) => `${t} →`));
  }
  /** Shows what an act came to. */
  function follow(block) {
    status.replaceChildren(html("span", { class: block.status }, block.status),
      ` · ${history.isChanged ? block.sewable ? "changed, not saved" : "cannot be sewn, and not be saved" : letter.edited ? "redrawn by hand, saved" : "as the converter drew it"}`);
    figures.replaceChildren(...block.figures.flatMap(([name, value]) => [html("dt", {}, name), html("dd", {}, value)]));
    reasons.replaceChildren(...(block.reasons.length ? block.reasons.map(reason)
      : [html("li", { class: "nothing" }, "None: every limit is met.")]));
    buttons.undo.disabled = !history.canUndo;
    buttons.redo.disabled = !history.canRedo;
    buttons.save.disabled = !history.isChanged || !block.sewable;
    buttons.drop.disabled = !editor.isCorner;
    buttons.add.disabled = !editor.isEdge;
  }
  function reason({ id, severity, message, hint }) {
    const item = html("li", {}, html("b", { class: severity }, `${severity}: `), message,
      hint ? html("span", { class: "hint" }, hint) : null);
    const name = letter.name, accepted = data.own[name]?.accept?.[id];
    if (accepted !== undefined) item.append(html("button", { type: "button", onclick: () =>
      choose({ [name]: { accept: { [id]: null } } }) }, "No longer accept"));
    else if (severity !== "note" && data.acceptable.includes(id)) item.append(accepting(id));
    return item;
  }
  function accepting(id) {
    const field = html("input", { type: "text", name: "reason", maxlength: 300, required: true });
    return html("details", {}, html("summary", {}, "accept"), html("form", { onsubmit: (event) => {
      event.preventDefault();
      choose({ [letter.name]: { accept: { [id]: field.value.trim() } } });
    } }, html("label", {}, "because ", field), html("button", {}, "Accept")));
  }
  function fill() {
    own.replaceChildren(...settingsOf(data, letter, choose));
    const glyph = data.glyphs.find((g) => g.key === key);
    others.hidden = !glyph?.others;
    if (!others.hidden) others.replaceChildren(html("h2", { id: "choice" }, "Alternatives"),
      html("ol", { class: "choices" }, ...[glyph, ...glyph.others].filter((f) => f.number).sort((a, b) => a.number - b.number)
        .map((figure) => html("li", {}, html("button", { type: "button", class: "look", "aria-pressed": String(figure === glyph),
          disabled: figure === glyph, "aria-label": `Take figure ${figure.number}`, onclick: () => take(figure.number) },
          picture(glyph.size, coloured(data, figure.pieces), glyph.guide)),
          html("p", { class: "grade" }, html("b", {}, `figure ${figure.number}`), figure === glyph ? " · chosen" : "", " · ",
            html("span", { class: figure.status }, figure.status)),
          html("p", { class: "why" }, `${figure.pieces.length} pieces, ${figure.sections.length} sections`)))));
  }
  function take(number) {
    const change = { [letter.name]: { alternative: number === 1 ? null : number } };
    if (letter.edited && !confirm("You redrew this block. Take the converter’s figure instead? Your drawing goes to the folder backups."))
      return;
    choose(change, letter.edited ? [key] : []);
  }
  function choose(changes, givenUp = []) {
    return working(async () => {
      if (history.isChanged) throw new Error("Save or undo what you changed first.");
      tell("Making the letter anew …");
      await ask(`sets/${under(data.id)}/choices`, { changes, givenUp });
      await again();
      tell("Saved.");
    });
  }
  /** Does what changes the set; what is heard of meanwhile is this. */
  async function working(work) {
    isWorking = true;
    try {
      return await doing(work);
    } finally {
      isWorking = false;
    }
  }
  /** Takes over what stands in the set now. */
  async function again() {
    data = await ask(`sets/${under(data.id)}`);
    letter = await ask(`sets/${under(data.id, "letters", key)}`);
    await editor.free();
    if (!history.isChanged) {
      history.restart(letter.known, letter.figure);
      editor.load(data, letter);
    }
    fill();
  }
  async function step(by) {
    history.go(by);
    await editor.look();
    tell(by < 0 ? "Undone." : "Done again.");
  }
  function converters() {
    return doing(async () => {
      const { figure } = await ask(`sets/${under(data.id, "letters", key, "converter")}`);
      history.add(figure);
      await editor.look();
      tell("This is what the converter drew. Save to keep it, undo to go back.");
    });
  }
  function save(how = {}) {
    return working(async () => {
      await editor.idle();
      tell("Saving …");
      const figure = history.figure;
      const said = await ask(`sets/${under(data.id, "letters", key, "save")}`, { figure, known: history.known, ...how });
      if (said.theirs) { showClash(figure, said); return; }
      clash.hidden = true;
      letter.edited = true;
      history.saved(said.known, figure);
      follow(said.block);
      tell(said.keptAs ? `Saved. The other version is in ${said.keptAs}.` : "Saved.");
    });
  }
  function showClash(figure, said) {
    const version = (title, block, text, act) => html("div", {}, html("h3", {}, title),
      picture(letter.size, block.pieces, "", title), html("p", {}, block.figures.slice(0, 2).map(([n, v]) => `${v} ${n}`).join(", ")),
      html("button", { type: "button", onclick: act }, text));
    clash.replaceChildren(html("h2", {}, "This block was changed by another program, too"),
      html("p", {}, `Nothing is lost: yours is in ${said.keptAs}.`), html("div", { class: "versions" },
        version("Yours", said.block, "Keep mine", () => save({ known: said.known, instead: true })),
        version("The other", said.theirs, "Take the other", () => {
          clash.hidden = true;
          history.restart(said.known, said.figure);
          doing(again);
        })));
    clash.hidden = false;
    tell("Two versions of this block: choose one.", true);
    find("button", clash).focus();
  }
  function onKey(event) {
    const key = event.key.toLowerCase();
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text], input[type=search]")) return;
    if (key === "z" && !event.shiftKey) { if (history.canUndo) step(-1); }
    else if (key === "y" || key === "z") { if (history.canRedo) step(1); }
    else if (key === "s") { if (history.isChanged) save(); }
    else return;
    event.preventDefault();
  }
  const onLeave = (event) => { if (history.isChanged) event.preventDefault(); };
  addEventListener("keydown", onKey);
  addEventListener("beforeunload", onLeave);
  return {
    async hear(kind, said) {
      if (kind !== "changed" || isWorking || (said.set && said.set !== data.id)) return;
      await editor.free();
      const now = await ask(`sets/${under(data.id, "letters", key)}`);
      if (isWorking) return;
      if (now.known === history.known) { letter.edited = now.edited; data = await ask(`sets/${under(data.id)}`); fill(); return; }
      if (history.isChanged) { tell("This block was saved by another program meanwhile; saving will show both.", true); return; }
      await again();
      tell("This block was saved by another program; it is shown as it is now.");
    },
    leave() { removeEventListener("keydown", onKey); removeEventListener("beforeunload", onLeave); },
  };
}
