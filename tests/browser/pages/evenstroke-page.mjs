// The page as its user meets it: elements by role and label.

/** Wraps what `openServed` and `openSaved` return. */
export class EvenstrokePage {
  constructor({ page }) {
    this.page = page;
    this.heading = page.getByRole("heading", { name: "Evenstroke", level: 1 });
    this.startMessage = page.locator("#start-message");
    this.readOnlyNote = page.locator("#read-only-note");
    this.staticSheet = page.locator("#static-sheet");
  }

  /** `served` or `saved`, as the page itself sees it. */
  form() {
    return this.page.evaluate(() => window.evenstroke.form);
  }
}
