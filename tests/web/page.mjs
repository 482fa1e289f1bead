// The page in Debian's Chromium, as people use it: by touch, by keyboard, from a file on disk.
//
// MOULDER_PAGE is the page (crates/moulder-web/app/build.mjs makes it).

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { deflateRawSync } from "node:zlib";
import { chromium } from "playwright-core";

import { FLAGS } from "./browser.mjs";

const given = process.env.MOULDER_PAGE;
if (!given || !existsSync(given)) {
  throw new Error("MOULDER_PAGE must name the page, as crates/moulder-web/app/build.mjs makes it");
}
export const file = resolve(given);
export const address = pathToFileURL(file).href;

/** The day of every walk: a summer, so that autumn is near. */
export const TODAY = "2026-07-27";
/** Until when a busy machine has worked a range out, in ms. */
export const LONG = 60_000;
const LEAST_TARGET = 56;
export const WIDTHS = [360, 800, 1280];
const PHONE = {
  viewport: { width: 360, height: 740 },
  isMobile: true,
  hasTouch: true,
  deviceScaleFactor: 2,
};
const SCREEN = { viewport: { width: 1000, height: 900 } };
// What the page itself has of these; none may come in.
const FOREIGN = "script, img, iframe, object, embed, link[rel=stylesheet], base, form, meta";

export function launch() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    headless: true,
    args: FLAGS,
  });
}

/** A link that holds a text in place of a bed. */
export function linkOf(text) {
  return `${address}#bed=${deflateRawSync(text).toString("base64url")}`;
}

// The clock of the page stands at that day. (Playwright's own clock has dates that no other class
// can stand on, as those of TOML do.)
function standStill(now) {
  globalThis.Date = class extends Date {
    constructor(...given) {
      if (given.length > 0) super(...given);
      else super(now);
    }
    static now() {
      return now;
    }
  };
}

/** The page in a fresh profile, and what goes wrong in it. */
export class Visit {
  faults = [];
  requests = [];
  taps = 0;
  low = [];
  wide = [];

  static async begin(browser, { isPhone = false, locale = "en-GB", init, to = address } = {}) {
    const visit = new Visit();
    const context = await browser.newContext({
      ...(isPhone ? PHONE : SCREEN),
      locale,
      acceptDownloads: true,
    });
    context.setDefaultTimeout(LONG);
    visit.context = context;
    if (init) await context.addInitScript(init);
    const page = await context.newPage();
    visit.page = page;
    await context.addInitScript(standStill, Date.parse(`${TODAY}T12:00:00Z`));
    context.on("console", (said) => visit.faults.push(`the console says ${said.text()}`));
    context.on("weberror", (error) => visit.faults.push(`an error: ${error.error()}`));
    context.on("request", (request) => visit.requests.push(request.url()));
    page.on("worker", (worker) => {
      worker.on("console", (said) => visit.faults.push(`a worker says ${said.text()}`));
    });
    page.on("dialog", (dialog) => {
      visit.faults.push(`a dialog: ${dialog.message()}`);
      void dialog.dismiss();
    });
    page.on("popup", (other) => visit.faults.push(`another page: ${other.url()}`));
    await page.goto(to);
    visit.foreign = await visit.countForeign();
    return visit;
  }

  countForeign() {
    return this.page.locator(FOREIGN).count();
  }

  /** Nothing was asked for but the file, nothing was said, nothing came in. */
  async end() {
    assert.equal(await this.countForeign(), this.foreign, "elements that could run or load");
    assert.equal(await this.page.evaluate(() => globalThis.caught), undefined, "a script ran");
    await this.context.close();
    assert.deepEqual(this.faults, []);
    // Its picture, its workers and the files it hands out are made of what it holds.
    const others = this.requests.filter(
      (each) => each.split("#")[0] !== address && !/^(blob:|data:|about:)/.test(each),
    );
    assert.deepEqual(others, []);
  }

  $(id) {
    return this.page.locator(`[id="${id}"]`);
  }

  text(id) {
    return this.$(id).innerText();
  }

  step(name) {
    return this.page.locator(`#main[data-step="${name}"] #title`).waitFor();
  }

  // A button of choice lies in its card, which is what one touches.
  async target(id) {
    const card = this.page.locator(`label.card[for="${id}"]`);
    return (await card.count()) > 0 ? card : this.$(id);
  }

  /** Taps and counts it; keeps what is too low for a thumb. */
  async tap(id) {
    const target = await this.target(id);
    await target.waitFor();
    await target.scrollIntoViewIfNeeded();
    const box = await target.boundingBox();
    if (box.height < LEAST_TARGET - 0.1) this.low.push(`${id} is ${box.height} high`);
    await target.tap();
    this.taps += 1;
  }

  async click(id) {
    await (await this.target(id)).click();
  }

  async write(id, words) {
    await this.$(id).fill(words);
    await this.$(id).dispatchEvent("change");
  }

  /** Goes to the next step, or to that. */
  async next(name, id = "next") {
    await this.click(id);
    await this.step(name);
  }

  /** Keeps what is wider than the window, at every width. */
  async lookWidths() {
    const before = this.page.viewportSize();
    for (const width of WIDTHS) {
      await this.page.setViewportSize({ width, height: before.height });
      const found = await this.page.evaluate(() =>
        Math.max(document.documentElement.scrollWidth, document.body.scrollWidth),
      );
      if (found > width) {
        const step = await this.page.locator("#main").getAttribute("data-step");
        this.wide.push(`${step} is ${found} wide at ${width}`);
      }
    }
    await this.page.setViewportSize(before);
  }

  /** A bed of this text opened as a file. */
  async open(text, name = "bed.toml") {
    const [chooser] = await Promise.all([
      this.page.waitForEvent("filechooser"),
      this.click("open-file"),
    ]);
    await chooser.setFiles({ name, mimeType: "text/plain", buffer: Buffer.from(text) });
  }

  /** The first figures of a range. */
  async figures() {
    await this.page.locator("#headline:not(.dimmed) #by-autumn").waitFor();
  }

  /** All of the range. */
  async whole() {
    await this.page.locator('#print-sheet[aria-disabled="false"]').waitFor();
    await this.page.locator("#headline:not(.dimmed) #by-autumn").waitFor();
  }

  /** The words of the engine as well. */
  async words() {
    await this.whole();
    await this.page.locator("#short:not(.dimmed) #line-sinks").waitFor();
  }

  /** The bed file, as the answer's step saves it. */
  async save(path) {
    await this.next("save", "save");
    const [download] = await Promise.all([
      this.page.waitForEvent("download"),
      this.click("save-file"),
    ]);
    await download.saveAs(path);
    return { path, name: download.suggestedFilename(), text: readFileSync(path, "utf8") };
  }

  beds() {
    return this.page.evaluate(() =>
      Object.entries(localStorage)
        .filter(([name]) => name.startsWith("moulder.bed."))
        .map(([, text]) => JSON.parse(text).draft),
    );
  }

  /** Has axe look at the step as it stands, in light and in dark. */
  async axe(about, rules = {}) {
    const { page } = this;
    if (!(await page.evaluate(() => "axe" in globalThis))) await page.evaluate(AXE);
    const options = { ...AXE_OPTIONS, rules: { ...AXE_OPTIONS.rules, ...rules } };
    const found = [];
    // Wherever one has scrolled, the bar at the foot lies over something.
    const lay = (position) =>
      page.evaluate((position) => {
        for (const bar of document.querySelectorAll("#bar, .page-bar")) bar.style.position = position;
      }, position);
    await lay("static");
    for (const colorScheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme, reducedMotion: "reduce" });
      const violations = await page.evaluate(async (options) => {
        const { violations } = await globalThis.axe.run(document, options);
        return violations.map(({ id, nodes }) => {
          const places = nodes.slice(0, 3).map(({ target, failureSummary }) => {
            const said = failureSummary.split("\n").slice(1, 3).join(" ");
            return `${target.join(" ")}: ${said}`;
          });
          return `${id} (${nodes.length}) ${places.join("; ")}`;
        });
      }, options);
      found.push(...violations.map((each) => `${about}, ${colorScheme}: ${each}`));
    }
    await lay("");
    return found;
  }
}

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const AXE_OPTIONS = {
  resultTypes: ["violations"],
  rules: { "color-contrast-enhanced": { enabled: true }, "target-size": { enabled: true } },
};
