// All versions of a figure, to be gone back and forth without limit. They outlive the page's being loaded again.
export class History {
  /** `known` is the hash of the drawing that stands in the set, `figure` what it shows. */
  constructor(name, known, figure) {
    this.name = name;
    this.restart(known, figure, false);
    try {
      const kept = JSON.parse(sessionStorage.getItem(name));
      if (kept?.figures?.length) Object.assign(this, kept);
    } catch { /* nothing is kept, or nothing that can be read */ }
  }
  restart(known, figure, keep = true) {
    Object.assign(this, { known, figures: [figure], at: 0, last: JSON.stringify(figure) });
    if (keep) this.keep();
  }
  get figure() { return this.figures[this.at]; }
  get canUndo() { return this.at > 0; }
  get canRedo() { return this.at < this.figures.length - 1; }
  get isChanged() { return JSON.stringify(this.figure) !== this.last; }
  add(figure) {
    if (JSON.stringify(figure) === JSON.stringify(this.figure)) return;
    this.figures = [...this.figures.slice(0, this.at + 1), figure];
    this.at += 1;
    this.keep();
  }
  go(by) {
    this.at = Math.min(Math.max(this.at + by, 0), this.figures.length - 1);
    this.keep();
  }
  saved(known, figure) {
    Object.assign(this, { known, last: JSON.stringify(figure) });
    this.keep();
  }
  keep() {
    const { known, figures, at, last } = this;
    try { sessionStorage.setItem(this.name, JSON.stringify({ known, figures, at, last })); } catch { /* it is full */ }
  }
}
