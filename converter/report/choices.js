// ---- alternatives: other figures of the open character --------------------------------------------------
const choices = find(".choices"), told = find(".choice .told");
let looks = [];  // each figure that can be looked at, with its button

/** Puts the figures of a character side by side, in the order of their numbers. */
function offer(glyph) {
  looks = [];
  find(".choice").hidden = !glyph.others;
  choices.replaceChildren();
  told.textContent = "";
  if (!glyph.others) return;
  const figures = [glyph, ...glyph.others.map((other) => ({ ...glyph, faulty: "", ...other }))];
  figures.sort((one, other) => one.number - other.number);
  choices.append(...figures.map((figure) => choiceItem(figure, glyph)));
  const code = (text) => html("code", {}, text), byHand = glyph.number === 0;
  find(".choice .how").replaceChildren(
    byHand ? "You edited this block; the converter’s own proposals are beside it. " : "",
    "To use ", byHand ? "one of them instead" : "another", ", copy its lines into ", code("alphabet.toml"),
    " and convert again with ", code("--settings alphabet.toml"),
    ...(byHand ? [" ", code(`--discard-edits ${glyph.key}`), "; your drawing moves to ", code("backups")] : []),
    ". If ", code(table(glyph)), " is already in the file, change or add the line below it. ",
    "The numbers hold for this font with these settings. Small figures show the difference from ",
    byHand ? "your drawing." : "the chosen one.");
}
const table = (glyph) => `[glyph.${glyph.toml}]`;

function choiceItem(figure, glyph) {
  const { number } = figure, own = figure === glyph, name = number ? `alternative ${number}` : "your drawing";
  const button = html("button", { type: "button", class: "look", "aria-label": `Look at ${name}` }, thumbnail(figure));
  button.addEventListener("click", () => { look(figure); panel.scrollTo({ top: 0 }); });
  looks.push([figure, button]);
  const item = html("li", { class: own ? "chosen" : "" }, button,
    html("h4", {}, number ? `Alternative ${number}` : "By hand", own && number ? html("small", {}, " chosen") : ""),
    html("p", { class: "grade" }, html("span", { class: figure.status }, figure.status),
      figure.level ? ` · ${figure.level}` : ""),
    html("dl", {}, ...data.compared.flatMap((i) => [html("dt", { title: data.figures[i][5] }, data.figures[i][1]),
      html("dd", {}, shown(figure.metrics[i], data.figures[i]), " ", own ? "" : difference(figure, glyph, i))])));
  const worst = figure.reasons.find(([, severity]) => severity === figure.status);
  if (worst) item.append(html("p", { class: "why" }, worst[2]));
  if (!own) item.append(...linesItem(`${table(glyph)}\nalternative = ${number}`, name));
  return item;
}

/** How much more or less than the block in the pattern has. */
function difference(figure, glyph, i) {
  const [, , , decimals, , , scale] = data.figures[i], [one, other] = [figure.metrics[i], glyph.metrics[i]];
  const by = one === null || other === null ? "" : ((one - other) * scale).toFixed(decimals);
  return Number(by) === 0 ? "" : html("small", {}, by.startsWith("-") ? by.replace("-", "−") : `+${by}`);
}

function linesItem(lines, name) {
  const pre = html("pre", {}, html("code", {}, lines));
  const button = html("button", { type: "button", class: "copy", "aria-label": `Copy the lines for ${name}` }, "copy");
  button.addEventListener("click", async () => {
    const done = await copied(lines, pre);
    button.textContent = done ? "copied" : "selected";
    told.textContent = done ? `The lines for ${name} are copied.`
      : `The lines for ${name} are selected; press Ctrl+C or ⌘C to copy them.`;
  });
  return [pre, button];
}
/** Copies a text; where the browser keeps the clipboard to itself, what shows the text is selected. */
async function copied(text, element) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    getSelection().selectAllChildren(element);
    return document.execCommand("copy");
  }
}
/** Leads from the head of the panel down to the alternatives. */
function toChoices(glyph) {
  const button = html("button", { type: "button" }, count(glyph.others.length, "alternative"));
  button.addEventListener("click", () => {
    find(".choice").scrollIntoView({ block: "nearest" });
    looks[0][1].focus({ preventScroll: true });
  });
  return button;
}
function markLooked() {
  for (const [figure, button] of looks) button.setAttribute("aria-pressed", figure === view);
}

