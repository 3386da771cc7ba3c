// The page as its user meets it: elements by role and label.

import { readFile } from "node:fs/promises";
import { readsText } from "../harness/act.mjs";

/** The names under which the page offers its demos. */
export const DEMO = {
  progressive: "Gate-latch plate, progressive",
  compound: "Ring washer, compound",
  combination: "Lantern cap, blank and draw",
  sixStation: "Trellis clip, six stations",
};

/** Wraps what `openServed` and `openSaved` return. */
export class EvenstrokePage {
  constructor({ page }) {
    this.page = page;
    this.title = page.getByRole("banner").getByRole("heading", { level: 1 });
    this.verdict = page.getByRole("banner").getByRole("status");
    this.kept = page.getByRole("banner").locator("[aria-live]:not([role])");
    this.notice = page.locator(".notice");
    this.stopped = page.locator("#stopped");
    this.undo = page.getByRole("button", { name: "Undo" });
    this.redo = page.getByRole("button", { name: "Redo" });
    this.units = page.getByRole("combobox", { name: "Units" });
    this.jobsButton = page.getByRole("button", { name: "Jobs", exact: true });
    this.jobs = page.getByRole("dialog", { name: "Open a job" });
    this.sheetButton = page.getByRole("button", { name: "Set-up sheet" });
    this.sheet = page.getByRole("dialog", { name: "Set-up sheet" });
    this.refused = page.getByRole("alert").filter({ hasText: "was not opened" });
    this.limits = page.getByRole("region", { name: "Limits" });
    this.stroke = page.getByRole("region", { name: "Force through the stroke" });
    // The same panel, whatever it shows.
    this.figure = page.locator("main section.stroke");
    this.chart = this.stroke.getByRole("img");
    this.handle = page.getByRole("slider", { name: "Slide height above BDC" });
    this.readout = this.stroke.getByRole("paragraph").filter({ hasText: /^At / });
    this.planPanel = page.getByRole("region", { name: "Bolster plan" });
    this.plan = this.planPanel.getByRole("application");
    this.place = this.planPanel.getByRole("status");
    this.cards = page.getByRole("region", { name: "Data of the job" });
    this.firstSteps = page.getByRole("complementary", { name: "First steps" });
    this.firstStepsButton = page.getByRole("banner").getByRole("button", { name: "First steps" });
    this.startMessage = page.locator("#start-message");
    this.readOnlyNote = page.locator("#read-only-note");
    this.staticSheet = page.locator("#static-sheet");
  }

  /** `served` or `saved`, as the page itself sees it. */
  form() {
    return this.page.evaluate(() => window.evenstroke.form);
  }

  /** The row of a limit. */
  limit(name) {
    return this.limits.getByRole("listitem").filter({ has: this.page.getByText(name, { exact: true }) });
  }

  /** What a limit asks of the press, as the number before its "of". */
  async demand(name) {
    const [, number] = /^([\d.]+) of /m.exec(await this.limit(name).innerText());
    return Number(number);
  }

  /** A field by the words over it, anywhere or within a part of the page. */
  field(label, within = this.cards) {
    return within
      .locator("label")
      .filter({ has: this.page.getByText(label, { exact: true }) })
      .locator("input, select, textarea");
  }

  /** A field with its help and what is said about it. */
  frame(label, within = this.cards) {
    return within
      .locator(".framed")
      .filter({ has: this.page.locator(".label").getByText(label, { exact: true }) });
  }

  /** What the page says at a field that it does not accept. */
  fieldMessage(label, within = this.cards) {
    return this.frame(label, within).getByRole("alert");
  }

  /** What the page says it understood. */
  understood(label, within = this.cards) {
    return this.frame(label, within).getByRole("status");
  }

  /** The button that opens and closes the help of a field. */
  helpButton(label, within = this.cards) {
    return within.getByRole("button", { name: `Help on ${label}`, exact: true });
  }

  /** The help of a field, where it is open. */
  help(label) {
    return this.cards.getByRole("note", { name: `Help: ${label}`, exact: true });
  }

  /** Fields under a heading, such as those of the bolster. */
  group(name, within = this.cards) {
    return within.getByRole("group", { name, exact: true });
  }

  /** Leaves the first steps, which take a line of the window from the charts. */
  async skipFirstSteps() {
    await this.firstSteps.getByRole("button", { name: "Skip the steps" }).click();
    await this.firstSteps.waitFor({ state: "detached" });
  }

  /** Opens a card by the start of its name. */
  async openCard(name) {
    await this.cardHead(name).click();
  }

  cardHead(name) {
    return this.cards.getByRole("heading", { level: 2, name: new RegExp(`^${name}`) }).getByRole("button");
  }

  /** Opens a station by its name in the list, which has to be open. */
  async openStation(name) {
    await this.stationHead(name).click();
  }

  stationHead(name) {
    return this.cards
      .getByRole("listitem")
      .getByRole("button")
      .filter({ has: this.page.getByText(name, { exact: true }) });
  }

  async openDemo(name) {
    await this.jobsButton.click();
    await this.jobs.getByRole("list", { name: "Invented demos" }).getByRole("button", { name }).click();
    await this.jobs.waitFor({ state: "hidden" });
  }

  /** Opens a job file; `content` is its text, or a value to be written as JSON. */
  async openFile(name, content) {
    const text = typeof content === "string" ? content : JSON.stringify(content);
    await this.jobsButton.click();
    await this.jobs
      .getByLabel("Open a file")
      .setInputFiles({ name, mimeType: "application/json", buffer: Buffer.from(text) });
  }

  /** Chooses what the large panel shows. */
  async show(figure) {
    await this.figure.getByRole("combobox", { name: "Show" }).selectOption(figure);
  }

  /** The text of the file that the page hands out. */
  async savedFile() {
    const [download] = await Promise.all([
      this.page.waitForEvent("download"),
      this.page.getByRole("button", { name: "Save file" }).click(),
    ]);
    return readFile(await download.path(), "utf8");
  }

  /** The page that the page hands out: its name and bytes, one letter for each. */
  async savedPage() {
    await this.sheetButton.click();
    const [download] = await Promise.all([
      this.page.waitForEvent("download"),
      this.sheet.getByRole("button", { name: /^Save page/ }).click(),
    ]);
    await this.sheet.getByRole("button", { name: "Close" }).click();
    return { name: download.suggestedFilename(), text: await readFile(await download.path(), "latin1") };
  }

  /** Changes the rated force of the first demo's press, whose card has to be open. */
  async changeRatedForce(value) {
    await this.field("Rated force").fill(String(value));
    await readsText(this.limit("Rated force"), `of ${Number(value).toFixed(1)} kN`);
  }

  /** Waits until the page says this of how the job is kept. */
  async keptReads(pattern) {
    await readsText(this.kept, pattern);
  }

  /** Opens the list of jobs and gives the entry of a kept job, by its title. */
  async keptJob(title) {
    if (!(await this.jobs.isVisible())) await this.jobsButton.click();
    return this.keptJobs
      .getByRole("listitem")
      .filter({ has: this.page.getByRole("button", { name: `Delete ${title}`, exact: true }) });
  }

  /** The kept jobs in the dialog that lists them. */
  get keptJobs() {
    return this.jobs.getByRole("list", { name: "Kept in this browser" });
  }

  /** Waits until the verdict reads like this. */
  async verdictReads(pattern) {
    await readsText(this.verdict, pattern);
  }
}
