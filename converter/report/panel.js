// ---- a character's panel ------------------------------------------------------------------------------
const slider = find(".steps input"), player = find(".play");
let card = null, view = null, steps = [], timer = 0;

function open(next) {
  card = next;
  whole(card);
  find("#panel-title").textContent = card.glyph.tag;
  offer(card.glyph);
  look(card.glyph);
  const place = current.indexOf(card);
  find(".before").disabled = place <= 0;
  find(".after").disabled = place < 0 || place >= current.length - 1;
  if (!panel.open) panel.showModal();
  panel.scrollTop = 0;
}
/** Shows one figure of the open character: the one in the pattern, or another that may be chosen. */
function look(figure) {
  stop();
  view = figure;
  steps = stepsOf(view);
  const names = [...new Set([...view.codes, view.name])].filter((n) => n && n !== view.tag);
  find(".bar .sub").replaceChildren(html("span", { class: view.status }, view.status), ` · ${names.join(" · ")}`,
    view.level ? ` · ${view.level}` : "", view.proved ? " · proved to have the fewest pieces" : "",
    ...(view !== card.glyph ? [" · ", html("strong", {}, `alternative ${view.number}, not chosen`)]
      : view.others ? [" · ", toChoices(view)] : []));
  find(".reasons").replaceChildren(...(view.reasons.length ? view.reasons.map(reasonItem)
    : [html("li", { class: "nothing" }, view.pieces.length ? "None: every limit is met." : "None.")]));
  find(".figures").replaceChildren(...data.figures.flatMap((figure, i) =>
    [html("dt", { title: figure[5] }, figure[1]), html("dd", {}, shown(view.metrics[i], figure))]));
  find(".steps").hidden = steps.length === 0;
  slider.max = steps.length;
  slider.value = steps.length;
  show();
  markLooked();
}
function reasonItem([, severity, message, measured, limit, , , hint], index) {
  const item = html("li", { class: "reason" }, html("b", { class: severity }, `${severity}: `), message);
  const figures = [measured === null ? "" : `measured ${plain(measured)}`, limit === null ? "" : `limit ${plain(limit)}`];
  if (measured !== null || limit !== null)
    item.append(html("span", { class: "limits" }, ` (${figures.filter(Boolean).join(", ")})`));
  if (hint) item.append(html("span", { class: "hint" }, hint));
  const loud = (on) => find(`.spot[data-reason="${index}"]`, panel)?.classList.toggle("loud", on);
  item.addEventListener("mouseenter", () => loud(true));
  item.addEventListener("mouseleave", () => loud(false));
  return item;
}
function show() {
  const at = Number(slider.value);
  const done = at >= steps.length, faulty = done && view.faulty;
  find(".drawing").replaceChildren(faulty
    ? html("img", { src: faulty, alt: `${view.tag} as it was drawn, with what cannot be sewn marked` })
    : drawingAt(view, steps, at));
  const text = !done ? `Step ${at + 1} of ${steps.length}. ${steps[at].text}`
    : faulty ? "As drawn, with what cannot be sewn marked." + (steps.length ? " The steps show its last pieces that could be sewn." : "")
    : "The finished block.";
  find(".caption").textContent = text;
  slider.setAttribute("aria-valuetext", text);
}
function stop() {
  clearInterval(timer);
  timer = 0;
  player.textContent = "play";
}
function play() {
  if (timer) return stop();
  if (Number(slider.value) >= steps.length) slider.value = 0;
  show();
  player.textContent = "pause";
  timer = setInterval(() => {
    slider.value = Number(slider.value) + 1;
    show();
    if (Number(slider.value) >= steps.length) stop();
  }, 900);
}
function turn(by) {
  const at = current.indexOf(card) + by;
  if (current[at]) { fill(at + 1); open(current[at]); }
}
slider.addEventListener("input", () => { stop(); show(); });
player.addEventListener("click", play);
find(".before").addEventListener("click", () => turn(-1));
find(".after").addEventListener("click", () => turn(1));
find(".close").addEventListener("click", () => panel.close());
panel.addEventListener("click", (event) => { if (event.target === panel) panel.close(); });
panel.addEventListener("close", () => {
  stop();
  card.button.focus();
  card.item.scrollIntoView({ block: "nearest" });
});
function showParts() {
  for (const box of panel.querySelectorAll(".show input")) panel.classList.toggle(`hide-${box.name}`, !box.checked);
}
find(".show", panel).addEventListener("change", showParts);

