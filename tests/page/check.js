// Opens pages of `moulder report` and `moulder compare --page` in Debian's Chromium, as people would: on a telephone,
// a tablet and a screen, light and dark, and on paper. Says what it measured, and ends
// with 1 where a reader would trip over something.
//
//   node check.js [MOULDER] [FOLDER]
//
// MOULDER is the program (target/release/moulder unless told); FOLDER keeps the pages,
// pictures and PDFs for people to look at.

import { execFile, execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { promisify } from "node:util";
import { AxeBuilder } from "@axe-core/playwright";
import { chromium } from "playwright-core";

// The program runs while the browser works on another page.
const run = promisify(execFile);
const here = dirname(fileURLToPath(import.meta.url));
const root = resolve(here, "../..");
const moulder = resolve(process.argv[2] ?? join(root, "target/release/moulder"));
const scratch = mkdtempSync(join(tmpdir(), "moulder-page-"));
const kept = process.argv[3] && resolve(process.argv[3]);
if (kept) mkdirSync(kept, { recursive: true });

const WIDTHS = [360, 800, 1280];
const SCHEMES = ["light", "dark"];
// More than this many sheets of paper and nobody prints it.
const MOST_SHEETS = 16;
// The demo bag is held to so many.
const FEW_SHEETS = 6;
// The day that is taken for today.
const TODAY = "2026-03-14";
// What a first sheet ends with.
const FOOT = "A forecast, not a promise";
// Within the edges of A5, printed at 80 %; px.
const SMALL_PAPER = 393;
// Sizes of paper: their names, widths in points, and the least that letters are high; a drawing of
// a sheet is printed as wide as the paper, less its edges in mm.
const PAPERS = [
  ["a4", 595, 11, 26],
  ["letter", 612, 11, 26],
  ["a5", 420, 10, 18],
];
// One slip shows at every width; nobody reads more than these.
const MOST_FAULTS = 40;
const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

// A file of ten thousand signs in one line, on top of all that is wrong with its names.
const hostile = join(scratch, "hostile.toml");
const names = readFileSync(join(here, "hostile.toml"), "utf8");
writeFileSync(hostile, `# ${"<x y=\"z\">".repeat(1250)}\n${names}`);

// Beds at their extremes, each on one screen alone.
const mound = join(scratch, "mound.toml");
writeFileSync(mound, execFileSync(moulder, ["new", "mound"]));
const extreme = (name, file, ...more) => ({ name, file, more, widths: [360], schemes: ["light"] });
const tests = join(root, "crates/moulder-cli/tests/beds");

// Designs side by side, on a page of their own.
const beside = (name, file, ...others) => ({
  name,
  file: resolve(root, file),
  others: others.map((other) => resolve(root, other)),
});

const BEDS = [
  { name: "bulk-bag", file: join(root, "examples/beds/bulk-bag.toml"), most: FEW_SHEETS },
  { name: "log-box", file: join(root, "examples/beds/log-box.toml") },
  { name: "hostile", file: hostile },
  extreme("in-full", join(root, "examples/beds/bulk-bag.toml"), "--full", "--draws", "4"),
  extreme("a-mound-for-a-century", mound, "--months", "1200", "--draws", "2"),
  extreme("forty-layers", join(tests, "forty-layers.toml"), "--draws", "0"),
  extreme("one-layer-one-month", join(tests, "one-layer.json"), "--months", "1", "--units", "us"),
  { name: "measured-bag", file: join(root, "examples/beds/measured-bag.toml") },
  beside("two-designs", "examples/beds/hardwood-base.toml", "examples/beds/softwood-base.toml"),
  {
    ...beside("four-hostile", hostile, "examples/beds/log-box.toml", mound, hostile),
    more: ["--months", "240", "--draws", "2", "--price", "4.5"],
  },
];

// First sheets alone, each on exactly one sheet of every paper.
const SHEETS = [
  ["bulk-bag", "examples/beds/bulk-bag.toml"],
  ["measured-bag", "examples/beds/measured-bag.toml", "--today", "2026-11-30"],
  ["log-box", "examples/beds/log-box.toml", "--price", "5.98", "--lead-days", "14"],
  ["hardwood-base", "examples/beds/hardwood-base.toml", "--units", "uk-garden"],
  ["forty-layers", "crates/moulder-cli/tests/beds/forty-layers.toml", "--units", "us"],
  ["deck-box", "crates/moulder-cli/tests/beds/deck-box.toml"],
  ["balcony-box", "crates/moulder-cli/tests/beds/balcony-box.toml", "--price", "5.98"],
  ["herb-rings", "examples/beds/school/herb-rings.toml", "--price", "5.98", "--delivery", "30"],
  ["mound", mound],
];

const faults = [];
const fault = (where, what) => faults.push(`${where}: ${what}`);

// What is to be seen on a page; runs in the browser.
function look() {
  const wide = document.documentElement.clientWidth;
  const found = [];
  if (document.scrollingElement.scrollWidth > wide) {
    found.push(`scrolls sideways: ${document.scrollingElement.scrollWidth} px on ${wide}`);
  }
  for (const element of document.querySelectorAll("body *")) {
    if (element.closest(".box, svg, .skip")) continue;
    const { right, left, width } = element.getBoundingClientRect();
    if (width > 0 && (right > wide + 0.5 || left < -0.5)) {
      found.push(`${element.tagName} lies outside the screen`);
    }
  }
  for (const table of document.querySelectorAll(".months")) {
    const room = (table.closest(".box") ?? table.parentElement).clientWidth;
    if (!globalThis.isFull && table.scrollWidth > room) {
      found.push(`the months are ${table.scrollWidth} px wide in ${room}`);
    }
  }
  const ids = [...document.querySelectorAll("[id]")].map((element) => element.id);
  if (new Set(ids).size < ids.length) found.push("an id is there twice");
  const figures = [...document.querySelectorAll("figure")];
  let labels = 0;
  for (const figure of figures) {
    const shown = [...figure.querySelectorAll("svg")].filter(
      (svg) => svg.getBoundingClientRect().width > 0,
    );
    if (shown.length !== 1) found.push(`${figure.id} shows ${shown.length} drawings`);
    for (const svg of shown) {
      const whole = svg.getBoundingClientRect();
      if (whole.width < 300 || whole.height < 100) found.push(`${figure.id} is too small`);
      const texts = [...svg.querySelectorAll("text")].map((text) => ({
        words: text.textContent,
        room: text.getBoundingClientRect(),
        size: parseFloat(getComputedStyle(text).fontSize) * (whole.width / svg.viewBox.baseVal.width),
      }));
      labels += texts.length;
      texts.forEach(({ words, room, size }, index) => {
        if (size < 10) found.push(`${figure.id}: "${words}" is ${size.toFixed(1)} px high`);
        if (room.left < whole.left - 1 || room.right > whole.right + 1) {
          found.push(`${figure.id}: "${words}" leaves the drawing`);
        }
        for (const other of texts.slice(0, index)) {
          const across = Math.min(room.right, other.room.right) - Math.max(room.left, other.room.left);
          const down = Math.min(room.bottom, other.room.bottom) - Math.max(room.top, other.room.top);
          // Boxes hold room above and below the letters that stays empty.
          if (across > 1 && down > 0.35 * Math.min(room.height, other.room.height)) {
            found.push(`${figure.id}: "${words}" lies on "${other.words}"`);
          }
        }
      });
    }
  }
  if (figures.length === 0) found.push("there is no figure");
  const strange = document.querySelectorAll("script, img, iframe, object, embed, form, link, base");
  if (strange.length > 0) found.push(`there is a ${strange[0].tagName}`);
  for (const element of document.querySelectorAll("*")) {
    for (const { name, value } of element.attributes) {
      if (name.startsWith("on") || (name === "href" && !value.startsWith("#"))) {
        found.push(`${element.tagName} has ${name}=${value}`);
      }
    }
  }
  if (globalThis.caught) found.push("a name was run");
  return { found, figures: figures.length, labels };
}

// The words of some sheets of a PDF, in one line.
function printed(pdf, first, last) {
  const sheets = ["-f", `${first}`, "-l", `${last}`];
  const words = execFileSync("pdftotext", [...sheets, pdf, "-"], { encoding: "utf8" });
  return words.replace(/\s+/g, " ");
}

function sheetsOf(pdf) {
  const told = execFileSync("pdfinfo", [pdf], { encoding: "utf8" });
  return Number(/^Pages:\s+(\d+)$/m.exec(told)?.[1]);
}

async function checkPaper(page, bed, format) {
  const where = `${bed.name}, ${format}`;
  const pdf = join(kept ?? scratch, `${bed.name}-${format}.pdf`);
  await page.pdf({ path: pdf, format, preferCSSPageSize: false });
  const sheets = sheetsOf(pdf);
  if (!(sheets >= 2 && sheets <= (bed.most ?? MOST_SHEETS))) fault(where, `${sheets} sheets`);
  if (!bed.others && !printed(pdf, 1, 1).includes(FOOT)) fault(where, "the first sheet goes on");
  const leading = await page.locator("#pictures figcaption").allTextContents();
  if (leading.length === 0) fault(where, "no picture leads");
  const words = printed(pdf, 1, sheets);
  for (const caption of leading) {
    if (!words.includes(caption.replace(/\s+/g, " "))) fault(where, `"${caption}" is not printed`);
  }
  return `${sheets} sheets ${format}`;
}

async function checkBed(context, bed) {
  const file = join(kept ?? scratch, `${bed.name}.html`);
  const asked = bed.others
    ? ["compare", bed.file, ...bed.others, "--page"]
    : ["report", bed.file, "--today", TODAY];
  const more = bed.more ?? ["--draws", bed.others ? "8" : "20"];
  const make = async () => {
    const made = await run(moulder, [...asked, "--plain", ...more], {
      maxBuffer: 1 << 26,
      encoding: "buffer",
    });
    return made.stdout;
  };
  const bytes = await make();
  if (!bytes.equals(await make())) fault(bed.name, "two runs gave two pages");
  writeFileSync(file, bytes);
  const address = pathToFileURL(file).href;
  const page = await context.newPage();
  const state = { where: bed.name };
  page.on("console", (said) => fault(state.where, `the console says ${said.text()}`));
  page.on("pageerror", (error) => fault(state.where, `an error: ${error}`));
  page.on("dialog", (dialog) => {
    fault(state.where, "a dialog opened");
    dialog.dismiss();
  });
  page.on("request", (request) => {
    if (request.url().split("#")[0] !== address) fault(state.where, `it asks for ${request.url()}`);
  });
  let figures = 0;
  let labels = 0;
  const axe = new Map();
  for (const width of bed.widths ?? WIDTHS) {
    for (const scheme of bed.schemes ?? SCHEMES) {
      state.where = `${bed.name}, ${width} px, ${scheme}`;
      await page.setViewportSize({ width, height: 800 });
      await page.emulateMedia({ colorScheme: scheme });
      await page.goto(address);
      await page.evaluate((isFull) => (globalThis.isFull = isFull), more.includes("--full") || !!bed.others);
      const seen = await page.evaluate(look);
      for (const what of seen.found) fault(state.where, what);
      figures = seen.figures;
      labels += seen.labels;
      if (kept) {
        const picture = join(kept, `${bed.name}-${width}-${scheme}.png`);
        await page.screenshot({ path: picture, fullPage: true });
      }
      // Between a telephone and a screen only sizes differ.
      if (width === WIDTHS[1]) continue;
      const { violations } = await new AxeBuilder({ page }).analyze();
      for (const { id, impact, help, nodes } of violations) {
        axe.set(id, `${impact}: ${help}`);
        if (impact === "serious" || impact === "critical") {
          fault(state.where, `axe ${id} (${impact}): ${help}, ${nodes[0].html.slice(0, 200)}`);
        }
      }
    }
  }
  // As one prints who prefers dark screens: paper stays light.
  const sheets = [];
  for (const format of ["A4", "Letter"]) sheets.push(await checkPaper(page, bed, format));
  await page.emulateMedia({ media: "print", colorScheme: "dark" });
  const paper = await page.evaluate(() => getComputedStyle(document.body).color);
  if (paper !== "rgb(28, 28, 26)") fault(bed.name, `words are printed in ${paper}`);
  await page.setViewportSize({ width: SMALL_PAPER, height: 800 });
  const wide = await page.evaluate(() => document.querySelector(".months")?.scrollWidth ?? 0);
  if (wide > SMALL_PAPER && !more.includes("--full") && !bed.others) {
    fault(bed.name, `the months print ${wide} px wide on ${SMALL_PAPER}`);
  }
  await page.close();
  const weight = (statSync(file).size / 1000).toFixed(0);
  const rules = [...axe].map(([id, help]) => `${id} (${help})`).join("; ") || "none";
  console.log(`${bed.name}: ${weight} kB, ${figures} figures, ${labels} labels looked at, ${sheets.join(", ")}`);
  console.log(`  axe findings of any weight: ${rules}`);
}

// Letters on a printed sheet that are too small, and a picture that was pressed; runs in the browser.
function lookAtPrint(leastPt) {
  const found = [];
  const words = document.createTreeWalker(document.querySelector(".sheet"), NodeFilter.SHOW_TEXT);
  while (words.nextNode()) {
    const said = words.currentNode.textContent.trim();
    const element = words.currentNode.parentElement;
    const room = element.getBoundingClientRect();
    if (said === "" || room.width === 0) continue;
    const svg = element.closest("svg");
    const scale = svg ? svg.getScreenCTM().a : 1;
    const pt = parseFloat(getComputedStyle(element).fontSize) * scale * 0.75;
    if (pt < leastPt - 0.1) found.push(`"${said.slice(0, 30)}" is printed at ${pt.toFixed(1)} pt`);
  }
  const sheet = document.querySelector(".sheet");
  if (sheet.scrollHeight > sheet.clientHeight + 1) {
    found.push(`it needs ${sheet.scrollHeight} px of ${sheet.clientHeight}`);
  }
  return found;
}

// The first sheet alone on each paper: one sheet of that size, with all that it is for.
async function checkSheet(context, [name, file, ...more]) {
  for (const [paper, points, leastPt, edges] of PAPERS) {
    const where = `${name}, one sheet of ${paper}`;
    const asked = ["report", resolve(root, file), "--one-sheet", "--paper", paper];
    const today = more.includes("--today") ? [] : ["--today", TODAY];
    const html = join(kept ?? scratch, `${name}-sheet-${paper}.html`);
    const made = await run(moulder, [...asked, ...today, "--draws", "20", "--plain", ...more], {
      maxBuffer: 1 << 26,
    });
    writeFileSync(html, made.stdout);
    const page = await context.newPage();
    await page.goto(pathToFileURL(html).href);
    const seen = await page.evaluate(look);
    for (const what of seen.found) fault(where, what);
    const warnings = await page.locator(".sheet .cautions").allTextContents();
    await page.emulateMedia({ media: "print" });
    const width = Math.round((points / 72 - edges / 25.4) * 96);
    await page.setViewportSize({ width, height: 800 });
    for (const what of await page.evaluate(lookAtPrint, leastPt)) fault(where, what);
    const pdf = join(kept ?? scratch, `${name}-sheet-${paper}.pdf`);
    await page.pdf({ path: pdf, preferCSSPageSize: true });
    await page.close();
    const sheets = sheetsOf(pdf);
    if (sheets !== 1) fault(where, `${sheets} sheets`);
    const size = execFileSync("pdfinfo", [pdf], { encoding: "utf8" });
    const wide = Number(/^Page size:\s+([\d.]+)/m.exec(size)?.[1]);
    if (Math.abs(wide - points) > 1.5) fault(where, `it is ${wide} points wide`);
    const words = printed(pdf, 1, 1);
    for (const needed of ["BUY", "MARK ON THE BOARD", "FEED", "MIND", FOOT]) {
      if (!words.includes(needed)) fault(where, `"${needed}" is not printed`);
    }
    for (const list of warnings) {
      const first = list.trim().split(/\s+/).slice(0, 6).join(" ");
      if (!words.includes(first)) fault(where, `"${first}" is not printed`);
    }
    console.log(`${where}: ${sheets} of ${wide} points`);
  }
}

const context = await chromium.launchPersistentContext(join(scratch, "profile"), {
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  headless: true,
  args: FLAGS,
});
try {
  // Two lanes share what is to be looked at.
  const left = [
    ...BEDS.map((bed) => () => checkBed(context, bed)),
    ...SHEETS.map((sheet) => () => checkSheet(context, sheet)),
  ].values();
  const lane = async () => {
    for (const check of left) await check();
  };
  await Promise.all([lane(), lane()]);
} finally {
  await context.close();
  rmSync(scratch, { recursive: true, force: true });
}
if (faults.length > 0) {
  const told = [...new Set(faults)];
  console.error(`\n${told.length} faults, the first of them:`);
  for (const one of told.slice(0, MOST_FAULTS)) console.error(`- ${one}`);
  process.exit(1);
}
console.log("Nothing to trip over.");
