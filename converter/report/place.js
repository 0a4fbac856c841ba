// ---- keys ---------------------------------------------------------------------------------------------
function moveFocus(key) {
  const there = inPage(), at = there.findIndex((one) => one.button === document.activeElement);
  if (at < 0) return false;
  const top = there[0].item.offsetTop;
  let columns = there.findIndex((one) => one.item.offsetTop > top);
  if (columns < 1) columns = current.length;
  const by = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -columns, ArrowDown: columns, Home: -at, End: current.length - 1 - at };
  const next = current[at + by[key]];
  fill(at + by[key] + 1);
  if (next) { next.button.focus(); next.item.scrollIntoView({ block: "nearest" }); }
  return true;
}
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const typing = event.target.matches("input, select");
  if (panel.open) {
    if (!typing && event.key === "ArrowLeft") turn(-1);
    else if (!typing && event.key === "ArrowRight") turn(1);
    return;
  }
  if (event.key === "/" && !event.target.matches("input[type=search]")) controls.words.focus();
  else if (event.key === "Escape" && event.target === controls.words) { controls.words.value = ""; arrange(); return; }
  else if (event.key === "ArrowDown" && event.target === controls.words && current.length) current[0].button.focus();
  else if (!/^(Arrow|Home|End)/.test(event.key) || typing || !moveFocus(event.key)) return;
  event.preventDefault();
});

// ---- the place in the page is kept when it is loaded again, as a watched page does by itself --------------
const KEPT = `place in ${location.pathname}`;
const fields = [...document.querySelectorAll("input[name], select[name]")].filter((field) => field !== slider);

addEventListener("pagehide", () => {
  const { activeElement } = document, top = tools.getBoundingClientRect().bottom;
  const first = inPage().find((one) => one.item.getBoundingClientRect().bottom > top);
  const place = {
    fields: fields.map((field) => field.type === "checkbox" ? field.checked : field.value),
    first: first && [first.glyph.key, first.item.getBoundingClientRect().top],
    scroll: scrollY,
    focus: activeElement.name || cards[activeElement.dataset.index]?.glyph.key,
    open: panel.open ? [card.glyph.key, view.number, Number(slider.value) < steps.length && slider.value, panel.scrollTop]
      : null,
  };
  try { sessionStorage.setItem(KEPT, JSON.stringify(place)); } catch { /* a browser may keep nothing */ }
});

function keptPlace() {
  if (performance.getEntriesByType("navigation")[0]?.type === "navigate") return null;
  try {
    const place = JSON.parse(sessionStorage.getItem(KEPT));
    return place.fields.length === fields.length ? place : null;
  } catch { return null; }
}
function restoreFields(values) {
  fields.forEach((field, i) => {
    if (field.type === "checkbox") field.checked = values[i]; else field.value = values[i];
    if (field.selectedIndex === -1) field.selectedIndex = 0;  // a finding that no block has any more
  });
  showParts();
}
function restorePlace({ first, scroll, focus, open: opened }) {
  const of = (key) => {
    const at = current.findIndex((one) => one.glyph.key === key);
    fill(at + 1);
    return current[at];
  };
  (controls.namedItem(focus) || of(focus)?.button)?.focus({ preventScroll: true });
  // Rows out of sight are as high as they are thought to be, so a character in sight says more than a distance.
  const anchor = scroll > 0 && first && of(first[0])?.item;
  scrollTo(0, anchor ? anchor.getBoundingClientRect().top + scrollY - first[1] : scroll);
  if (!opened || !cards.some((one) => one.glyph.key === opened[0])) return;
  const [key, number, step, top] = opened;
  open(cards.find((one) => one.glyph.key === key));
  const looked = looks.find(([figure]) => figure.number === number);
  if (looked) look(looked[0]);
  if (step !== false) { slider.value = step; show(); }
  panel.scrollTop = top;
}

const kept = keptPlace();
history.scrollRestoration = "manual";
if (kept) restoreFields(kept.fields);
tools.hidden = false;
arrange();
if (kept) restorePlace(kept);
