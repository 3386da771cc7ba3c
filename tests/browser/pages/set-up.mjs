// The set-up as its user meets it: steps by name, rows by label.

/** Wraps an `EvenstrokePage`. */
export class SetUp {
  constructor(evenstroke) {
    const { page } = evenstroke;
    this.evenstroke = evenstroke;
    this.page = page;
    this.dialog = page.getByRole("dialog", { name: "Set-up", exact: true });
    this.head = this.dialog.getByRole("heading", { level: 3 }).first();
    this.outdated = this.dialog.getByRole("alert").filter({ hasText: "Not worked out" });
  }

  /** Opens it by its button below the cards. */
  async open() {
    await this.evenstroke.cards.getByRole("button", { name: "Set-up", exact: true }).click();
    await this.dialog.waitFor();
  }

  /** Goes to a step, by the list or, on a phone, by the box. */
  async step(title) {
    const list = this.dialog.getByRole("navigation", { name: "Steps" });
    if (await list.isVisible()) {
      await list.getByRole("button", { name: new RegExp(`^${title}`) }).click();
    } else {
      const box = this.dialog.getByRole("combobox", { name: "Step" });
      const words = await box.locator("option").allTextContents();
      await box.selectOption({ index: words.findIndex((word) => word.startsWith(title)) });
    }
    await this.head.filter({ hasText: title }).waitFor();
  }

  /** The titles of all steps. */
  async steps() {
    const words = await this.dialog.getByRole("combobox", { name: "Step", includeHidden: true }).locator("option").allTextContents();
    return words.map((word) => word.replace(/: \d+ open$/, ""));
  }

  /** What a row of the card says. */
  row(label) {
    const head = this.page.locator("th", { hasText: new RegExp(`^${label}$`) });
    return this.dialog.locator(".card-words tr").filter({ has: head }).locator("td");
  }

  field(label, within = this.dialog) {
    return this.evenstroke.field(label, within);
  }

  message(label) {
    return this.evenstroke.fieldMessage(label, this.dialog);
  }

  button(name) {
    return this.dialog.getByRole("button", { name, exact: true });
  }

  /** The fields of an entry of the record. */
  entry(name) {
    return this.dialog.getByRole("group", { name, exact: true });
  }

  async close() {
    await this.button("Close").click();
    await this.dialog.waitFor({ state: "hidden" });
  }
}
