// The page as people use it: by touch, by keyboard, with what is wrong and what is hostile; its
// figures are those of the native program.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { command, root } from "./fresh.mjs";
import { LONG, TODAY, Visit, address, file, launch, linkOf } from "./page.mjs";

const MOST_TAPS = 30;
const MOST_READ = 1_000_000;
const AUTUMN = "2026-10-01";
const BED = { format: 1, filled: "2026-05-01", climate: "Cambridge UK", units: "metric" };
const BOX = { shape: "box", width: "1 m", length: "2 m", rim: "60 cm", "stands-on": "ground" };
const LAYERS = [
  { put: [{ material: "birch log", amount: "30 cm" }] },
  { put: [{ material: "loamy topsoil", amount: "25 cm" }] },
];
const bedText = (more = {}) => JSON.stringify({ ...BED, bed: BOX, layer: LAYERS, ...more });

const folder = mkdtempSync(join(tmpdir(), "moulder-beds-"));
let browser;
before(async () => {
  browser = await launch();
});
after(async () => {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
});

const day = (text) => Date.parse(`${text}T00:00:00Z`);

const METRIC = (depth_m) => String(Math.round(depth_m * 100));
function inches(depth_m) {
  const halves = Math.round(Math.abs(depth_m / 0.0254) * 2);
  const whole = halves >> 1;
  const half = halves % 2 === 1 ? "½" : "";
  return `${depth_m < 0 && halves > 0 ? "-" : ""}${whole === 0 && half ? "" : whole}${half}`;
}

/** What the native program tells of a file on a day between two rows: depth, range. */
function native(path, months, on = AUTUMN, figure = METRIC) {
  command("check", path);
  const told = command("forecast", path, "--months", `${months}`, "--today", TODAY, "--json");
  const { intervals } = JSON.parse(told);
  const next = intervals.findIndex(({ date }) => day(date) >= day(on));
  const [from, to] = [intervals[next - 1], intervals[next]];
  const share = (day(on) - day(from.date)) / (day(to.date) - day(from.date));
  const at = (name) => {
    const [one, other] = [from.below_rim_m[name], to.below_rim_m[name]];
    return figure(one + (other - one) * share);
  };
  return { depth: at("mean"), range: `${at("lower")} to ${at("upper")}` };
}

/** What the page tells of autumn. */
async function told(visit) {
  const [depth] = (await visit.text("by-autumn")).split(" ");
  const range = /: (\S+ to \S+) /.exec(await visit.text("by-autumn-range"))[1];
  return { depth, range };
}

const months = (visit) => visit.$("month").getAttribute("max");

/** Clicks something as soon as there is something to stop; a range may be quick. */
function onceStoppable(visit, id) {
  return visit.page.evaluate((id) => {
    new MutationObserver((_, observer) => {
      if (!document.getElementById("stop")) return;
      observer.disconnect();
      document.getElementById(id).click();
    }).observe(document.body, { childList: true, subtree: true });
  }, id);
}

const focused = (visit) => visit.page.evaluate(() => document.activeElement?.id ?? "");

test("the policy forbids all but the page's own script and style", async () => {
  const html = readFileSync(file, "utf8");
  const policies = [...html.matchAll(/<meta http-equiv="Content-Security-Policy" content="([^"]*)"/g)];
  assert.equal(policies.length, 1);
  const policy = new Map(
    policies[0][1].split("; ").map((each) => [each.split(" ")[0], each.split(" ").slice(1)]),
  );
  for (const name of ["default-src", "connect-src", "base-uri", "form-action"]) {
    assert.deepEqual(policy.get(name), ["'none'"], name);
  }
  assert.deepEqual(policy.get("worker-src"), ["blob:"]);
  const [hash, ...more] = policy.get("script-src");
  assert.match(hash, /^'sha256-[\w+/]+=*'$/);
  assert.deepEqual(more, ["'wasm-unsafe-eval'"]);
  assert.match(policy.get("style-src").join(" "), /^'sha256-[\w+/]+=*'$/);
  for (const sources of policy.values()) {
    assert(!sources.some((each) => /^'unsafe-|^[*]|^https?:/.test(each)));
  }

  const visit = await Visit.begin(browser);
  const caught = await visit.page.evaluate(async () => {
    const script = document.createElement("script");
    script.textContent = "globalThis.caught = 1";
    document.body.append(script);
    const image = document.createElement("div");
    image.innerHTML = "<img src=x onerror='globalThis.caught = 1'>";
    document.body.append(image);
    const sent = await fetch("https://example.invalid/").then(() => "sent", () => "refused");
    await new Promise((resolve) => setTimeout(resolve, 100));
    return [globalThis.caught, sent];
  });
  assert.deepEqual(caught, [undefined, "refused"]);
  // This is how every other walk would hear of it.
  assert(visit.faults.some((each) => /Content Security Policy/.test(each)));
  await assert.rejects(visit.end(), /could run or load/);
  await visit.context.close();
});

test("a bag in Lyon by taps alone, and the figures of the native program", async (t) => {
  const visit = await Visit.begin(browser, { isPhone: true });
  const steps = [
    ["start", ["new-bed"]],
    ["shape", ["shape-bag", "next"]],
    ["stands", ["stands-on-ground", "next"]],
    ["place", ["town", "Lyon", "town-0", "next"]],
    ["layers", ["add-logs", "add-prunings", "add-turf", "add-soil", "amount-0-0", "35", "next"]],
    ["filled", ["way-tipped", "watered-in", "next"]],
  ];
  for (const [name, acts] of steps) {
    await visit.step(name);
    for (const act of acts) {
      if (act === "next") await visit.lookWidths();
      if (/^[A-Z0-9]/.test(act)) {
        await visit.page.keyboard.press("Control+A");
        await visit.page.keyboard.type(act);
      } else await visit.tap(act);
    }
  }
  await visit.step("answer");
  await visit.words();
  const { depth, range } = await told(visit);
  const bought = await visit.text("line-buy");
  t.diagnostic(`${visit.taps} taps: ${depth} cm (${range}) below the rim by autumn; buy ${bought}`);
  assert(visit.taps <= MOST_TAPS);
  assert.match(await visit.text("headline"), /By 1 October 2026, if nothing is added, expect it about/);
  assert.match(bought, /\d+ bags? of 40 L loamy topsoil/);
  assert.match(await visit.text("about"), /^In Lyon.*, filled 27 July 2026\.$/);
  const at = await months(visit);
  await visit.lookWidths();

  for (const [name, back] of [["measured", "back"], ["added", "back"], ["save", "back"]]) {
    await visit.tap(name);
    await visit.step(name);
    await visit.lookWidths();
    await visit.tap(back);
    await visit.step("answer");
  }
  const { path, text } = await visit.save(join(folder, "lyon.toml"));
  assert.match(text, /\[\[layer\]\]\nput = \[\{ material = "[a-z ]+", amount = "35 cm" \}\]/);
  // The page knows fewer stations than the command: the climate of a town is a little another.
  const figures = (told) => `${told.depth} ${told.range}`.match(/\d+/g).map(Number);
  const other = figures(native(path, at));
  figures({ depth, range }).forEach((each, place) => assert(Math.abs(each - other[place]) <= 1));
  assert.deepEqual(visit.low, []);
  assert.deepEqual(visit.wide, []);
  await visit.end();
});

test("figures and words of a bed are those of the native program, to the last letter", async () => {
  const visit = await Visit.begin(browser);
  await visit.next("answer", "try-example");
  await visit.words();
  const found = await told(visit);
  const at = await months(visit);
  const lines = {};
  for (const line of ["sinks", "buy", "feed"]) lines[line] = await visit.text(`line-${line}`);
  const { path, name } = await visit.save(join(folder, "example.toml"));
  assert.equal(name, "bulk-bag-by-the-gate.toml");
  assert.deepEqual(found, native(path, at));
  // The command breaks its lines.
  const answer = command("answer", path, "--today", TODAY, "--plain").replace(/\s+/g, " ");
  for (const [line, words] of Object.entries(lines)) {
    const plain = words.slice(1).replace(/\.$/, "");
    assert(answer.includes(plain), `${line}: ${plain}\n${answer}`);
  }
  await visit.end();
});

test("the slider, its buttons and the years go through the dates", async () => {
  const visit = await Visit.begin(browser);
  await visit.open(bedText());
  await visit.step("answer");
  await visit.whole();
  const look = async () => {
    const words = await visit.text("on-date");
    const about = await visit.$("section").getAttribute("aria-label");
    const drawing = await visit.$("section").innerHTML();
    const found = /^(When filled|\d+ \w+ \d+): about (.*?)(?: \(|$)/.exec(words);
    assert(found, words);
    assert(about.includes(found[2]), `${about} is not of ${found[2]}`);
    assert(found[1] === "When filled" || about.includes(found[1]), about);
    const value = await visit.$("month").inputValue();
    const spoken = await visit.$("month").getAttribute("aria-valuetext");
    assert(spoken.includes(found[2]), spoken);
    return { on: found[1], depth: found[2], drawing, value: Number(value) };
  };
  const autumn = await look();
  assert.equal(autumn.on, "1 October 2026");
  assert.equal(autumn.value, 5);
  await visit.click("month-more");
  const later = await look();
  assert.equal(later.on, "1 November 2026");
  await visit.click("month-less");
  await visit.click("month-less");
  const earlier = await look();
  assert.equal(earlier.on, "1 September 2026");
  assert.notEqual(earlier.drawing, later.drawing);
  await visit.click("to-year");
  const year = await look();
  assert.equal(year.on, "1 August 2027");
  assert.notEqual(year.depth, earlier.depth);
  await visit.click("to-autumn");
  assert.deepEqual(await look(), autumn);
  await visit.write("month", "0");
  assert.equal((await look()).on, "When filled");
  await visit.click("month-less");
  assert.equal((await look()).value, 0);
  const end = Number(await months(visit));
  await visit.write("month", `${end}`);
  const last = await look();
  assert.notEqual(last.drawing, year.drawing);
  await visit.click("month-more");
  assert.equal((await look()).value, end);

  await visit.click("further");
  await visit.page.waitForFunction((end) => document.getElementById("month").max > end + 30, end);
  await visit.click("further");
  await visit.page.waitForFunction((end) => Number(document.getElementById("month").max) === end, end);
  await visit.whole();
  await visit.click("to-autumn");
  assert.deepEqual(await look(), autumn);
  await visit.end();
});

test("a small bed by the keyboard alone, from the start to the answer", async () => {
  const visit = await Visit.begin(browser);
  const { keyboard } = visit.page;
  const reach = async (id) => {
    for (let count = 0; count < 80 && (await focused(visit)) !== id; count += 1) {
      await keyboard.press("Tab");
    }
    assert.equal(await focused(visit), id);
    const isShown = await visit.page.evaluate(() => {
      const { activeElement } = document;
      const looks = [activeElement, activeElement.closest("label")].filter(Boolean);
      return looks.some((each) => {
        const { outlineStyle, outlineWidth } = getComputedStyle(each);
        return outlineStyle !== "none" && parseFloat(outlineWidth) >= 2;
      });
    });
    assert(isShown, `one cannot see that ${id} has the focus`);
  };
  const press = async (id, key = "Enter") => {
    await reach(id);
    await keyboard.press(key);
  };
  const arrive = async (name) => {
    await visit.step(name);
    assert.equal(await focused(visit), "title");
  };
  await visit.step("start");
  await press("new-bed");
  await arrive("shape");
  await press("shape-box", "Space");
  await reach("width");
  await keyboard.press("Control+A");
  await keyboard.type("100");
  await press("rim-less");
  await press("next");
  await arrive("stands");
  await press("stands-on-ground", "Space");
  await keyboard.press("ArrowDown");
  assert.equal(await focused(visit), "stands-on-paving");
  await press("next");
  await arrive("place");
  await reach("town");
  await keyboard.type("lyo");
  await visit.$("town-0").waitFor();
  await keyboard.press("ArrowDown");
  assert.equal(await focused(visit), "town-0");
  await keyboard.press("Enter");
  await visit.$("place-now").waitFor();
  assert.equal(await focused(visit), "change-place");
  await press("next");
  await arrive("layers");
  await press("add-logs");
  await press("add-soil");
  await visit.$("layer-1").waitFor();
  await reach("amount-1-0");
  await keyboard.press("Control+A");
  await keyboard.type("20");
  await press("next");
  await arrive("filled");
  await reach("way-unknown");
  await keyboard.press("ArrowDown");
  assert.equal(await focused(visit), "way-tipped");
  await keyboard.press("ArrowDown");
  assert.equal(await focused(visit), "way-firmed");
  await press("next");
  await arrive("answer");
  await visit.figures();
  await reach("month");
  const before = await visit.text("on-date");
  await keyboard.press("ArrowRight");
  assert.notEqual(await visit.text("on-date"), before);

  const [draft] = await visit.beds();
  assert.deepEqual(draft.bed, {
    shape: "box",
    width: "100 cm",
    length: "240 cm",
    rim: "55 cm",
    "stands-on": "paving",
  });
  assert.match(draft.climate, /^Lyon/);
  assert.deepEqual(draft.layer.map(({ then }) => then), [["firmed"], ["firmed"]]);
  assert.equal(draft.layer[1].put[0].amount, "20 cm");
  await visit.end();
});

test("readings and what was added, in inches: the forecast goes on from them", async () => {
  const visit = await Visit.begin(browser, { locale: "en-US" });
  await visit.next("answer", "try-example");
  await visit.whole();
  const first = await told(visit);
  assert.match(await visit.text("by-autumn"), / in$/);

  // As expected: nothing is asked.
  await visit.next("measured", "measured");
  await visit.write("spot-1", "11");
  await visit.write("spot-2", "12");
  await visit.write("spot-3", "11.5");
  await visit.next("answer", "keep-reading");
  assert.match(await visit.text("log"), /27 July 2026 11\.5 in below the rim/);

  await visit.next("measured", "measured");
  await visit.write("spot-1", "30");
  await visit.click("keep-reading");
  await visit.$("odd-card").waitFor();
  assert.match(await visit.text("odd-card"), /Expected \S+ to \S+ in\. You have 30 in\./);
  assert.equal(await focused(visit), "odd-keep");
  await visit.click("odd-change");
  assert.equal(await visit.$("odd-card").count(), 0);
  assert.equal(await focused(visit), "spot-1");
  assert.equal((await visit.beds())[0].reading[0]["below-rim"], "11.5 in");
  await visit.click("keep-reading");
  await visit.next("answer", "odd-keep");
  const log = await visit.text("log");
  assert.match(log, /27 July 2026 30 in below the rim/);
  assert(!log.includes("11.5 in"), "a second reading of a day stands for the first");
  await visit.whole();
  const second = await told(visit);
  assert(parseInt(second.depth) >= 30 && parseInt(first.depth) < 20, `${first.depth} ${second.depth}`);

  await visit.next("added", "added");
  await visit.write("added-amount", "3");
  await visit.next("pick", "added-pick");
  await visit.click("group-green");
  await visit.click("pick-grass-clippings");
  await visit.step("added");
  assert.equal(await visit.text("added-material"), "Grass clippings");
  assert.equal(await visit.$("added-amount").inputValue(), "3");
  await visit.next("answer", "keep-added");
  assert.match(await visit.text("log"), /3 cu ft grass clippings added/);
  await visit.whole();
  const third = await told(visit);
  assert.notDeepEqual(third, second);
  const at = await months(visit);
  const { path, text } = await visit.save(join(folder, "read.toml"));
  assert.match(text, /\[\[reading\]\]\non = 2026-07-27\nbelow-rim = "30 in"/);
  assert.deepEqual(third, native(path, at, AUTUMN, inches));
  await visit.click("back");
  await visit.step("answer");
  await visit.click("remove-reading-0");
  await visit.step("answer");
  assert(!(await visit.text("log")).includes("below the rim"));
  await visit.end();
});

test("a reload in mid-step restores, Back keeps, a link brings the same bed", async () => {
  const visit = await Visit.begin(browser);
  await visit.next("shape", "new-bed");
  await visit.click("shape-bag");
  await visit.write("rim", "80");
  await visit.next("stands");
  await visit.click("stands-on-ground");
  await visit.next("place");
  await visit.write("town", "Lyon");
  await visit.click("town-0");
  await visit.next("layers");
  await visit.click("add-logs");
  await visit.click("add-soil");
  await visit.write("amount-0-0", "33");
  await visit.page.reload();
  await visit.step("layers");
  assert.equal(await visit.$("amount-0-0").inputValue(), "33");
  assert.equal(await visit.$("pile").locator("> li").count(), 2);
  await visit.next("place", "back");
  assert.match(await visit.text("place-now"), /^Lyon/);
  await visit.page.goBack();
  await visit.step("stands");
  assert(await visit.$("stands-on-ground").isChecked());
  await visit.page.goBack();
  await visit.step("shape");
  assert.equal(await visit.$("rim").inputValue(), "80");
  await visit.page.goForward();
  await visit.page.goForward();
  await visit.page.goForward();
  await visit.step("layers");
  assert.equal(await visit.$("amount-0-0").inputValue(), "33");
  await visit.next("filled");
  assert(await visit.$("measured").isHidden());
  await visit.click("way-firmed");
  await visit.click("measured-in-place");
  await visit.write("name", "Beside the \"gate\" & <shed> ✿");
  await visit.next("answer");
  await visit.click("share");
  const link = await visit.$("link").inputValue();
  const [draft] = await visit.beds();
  assert.equal(draft.bed.rim, "80 cm");
  const said = draft.layer.flatMap(({ put }) => put.map((each) => each.as));
  assert.deepEqual([...new Set(said)], ["in-place"]);

  const other = await Visit.begin(browser, { to: link });
  await other.step("answer");
  assert.deepEqual(await other.beds(), [draft]);
  assert.equal(other.page.url(), address);
  assert.equal(await other.text("title"), draft.name);
  await other.figures();
  await other.page.reload();
  await other.step("answer");

  const again = async (to) => {
    await other.page.goto("about:blank");
    await other.page.goto(to);
  };
  // The same once more: nothing to ask.
  await again(link);
  await other.step("answer");
  assert.equal((await other.beds()).length, 1);
  const wider = linkOf(bedText({ name: "Wider" }));
  await again(wider);
  await other.$("link-both").waitFor();
  assert.match(await other.text("link-bed"), /Wider.*✿/s);
  await other.next("start", "link-leave");
  assert.deepEqual(await other.beds(), [draft]);
  await again(wider);
  await other.next("answer", "link-both");
  assert.deepEqual((await other.beds()).map(({ name }) => name).sort(), [draft.name, "Wider"]);
  await again(linkOf(bedText({ name: "Third" })));
  await other.next("answer", "link-replace");
  assert.deepEqual((await other.beds()).map(({ name }) => name).sort(), [draft.name, "Third"]);
  await other.next("start", "to-start");
  assert.equal(await other.$("kept").locator("> li").count(), 2);
  // Deleting asks first.
  const row = await other.page.locator("#kept > li", { hasText: "Third" }).getAttribute("id");
  const id = row.replace("row-", "");
  await other.click(`delete-${id}`);
  await other.click(`keep-${id}`);
  assert.equal((await other.beds()).length, 2);
  await other.click(`delete-${id}`);
  await other.click(`really-${id}`);
  assert.deepEqual(await other.beds(), [draft]);
  await other.end();
  await visit.end();
});

test("a browser that keeps nothing is told of, and the page works", async () => {
  const refusals = [
    () =>
      Object.defineProperty(globalThis, "localStorage", {
        get() {
          throw new DOMException("refused", "SecurityError");
        },
      }),
    () => {
      Storage.prototype.setItem = () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    },
  ];
  for (const init of refusals) {
    const visit = await Visit.begin(browser, { init });
    await visit.next("shape", "new-bed");
    await visit.click("shape-bag");
    await visit.next("stands");
    await visit.click("stands-on-ground");
    await visit.next("place");
    assert.match(await visit.text("not-kept"), /keeps nothing: save the file/);
    await visit.page.goBack();
    await visit.step("stands");
    assert(await visit.$("stands-on-ground").isChecked());
    await visit.next("place");
    await visit.write("town", "Lyon");
    await visit.click("town-0");
    await visit.next("layers");
    await visit.click("add-logs");
    await visit.next("filled");
    await visit.next("answer");
    await visit.figures();
    const { text } = await visit.save(join(folder, "refused.toml"));
    assert.match(text, /climate = "Lyon/);
    await visit.end();
  }
});

test("what is wrong stands beside its field and at the top until it is put right", async () => {
  const visit = await Visit.begin(browser);
  const stands = async (id, words) => {
    await visit.$(`${id}-fault`).waitFor();
    assert.match(await visit.text(`${id}-fault`), words);
    assert.match(await visit.text("faults"), words);
    assert.equal(await visit.$(id).getAttribute("aria-invalid"), "true");
  };
  const refused = async (id, words, go = "next") => {
    await visit.click(go);
    await visit.$("faults").waitFor();
    await visit.page.waitForFunction(() => document.activeElement?.id === "faults");
    await stands(id, words);
    // It leads to the field, and stays.
    await visit.$("faults").locator(`a[href="#${id}"]`).first().click();
    await visit.page.waitForFunction(
      (id) => document.activeElement?.closest(`[id="${id}"]`) !== null,
      id,
    );
    await visit.page.keyboard.press("Tab");
    await visit.page.waitForTimeout(300);
    await stands(id, words);
  };
  const cleared = () => visit.$("faults").waitFor({ state: "detached" });
  await visit.next("shape", "new-bed");
  await refused("shape", /Choose what holds the filling/);
  await visit.click("shape-box");
  await cleared();
  await visit.write("width", "many");
  await stands("width", /Width inside: .*write a number/i);
  await visit.write("length", "99999999");
  await stands("length", /Length inside/);
  await refused("width", /Width inside: .*write a number/i);
  await visit.write("length", "200");
  await stands("width", /Width inside/);
  await visit.$("length-fault").waitFor({ state: "hidden" });
  await visit.write("width", "100");
  await cleared();
  await visit.next("stands");
  await refused("stands-on", /Choose what it stands on/);
  await visit.click("stands-on-ground");
  await visit.next("place");
  await refused("town", /Choose a town/);
  await visit.$("filled").fill("");
  await refused("filled", /Give the day/);
  await stands("town", /Choose a town/);
  await visit.write("town", "Lyon");
  await visit.click("town-0");
  await visit.$("place-now").waitFor();
  await visit.page.waitForTimeout(300);
  await stands("filled", /Give the day/);
  await visit.click("filled-today");
  await cleared();
  await visit.click("change-place");
  await visit.page.locator("#by-degrees summary").click();
  await visit.write("north", "95");
  await refused("north", /from -90 to 90/, "take-degrees");
  await visit.write("north", "45.76");
  await visit.write("east", "4.84");
  await visit.click("take-degrees");
  await visit.$("place-now").waitFor();
  await visit.$("filled").fill("");
  await visit.$("filled").dispatchEvent("change");
  await refused("filled", /day/);
  await visit.click("filled-today");
  await cleared();
  await visit.next("layers");
  await refused("add-layer", /Choose what lies lowest/);
  await visit.click("add-logs");
  await cleared();
  await visit.write("amount-0-0", "-4");
  await stands("amount-0-0", /log/i);
  await refused("amount-0-0", /log/i);
  await visit.write("amount-0-0", "30");
  await cleared();
  await visit.next("filled");
  await visit.write("irrigation", "-3");
  await refused("irrigation", /Water in a week/);
  await visit.write("irrigation", "5");
  await cleared();
  await visit.next("answer");
  await visit.next("measured", "measured");
  await refused("spot-1", /one spot at least/, "keep-reading");
  await visit.write("spot-2", "a hand");
  await refused("spot-2", /write a number of cm/, "keep-reading");
  await visit.write("spot-2", "20");
  await visit.write("measured-on", "2020-01-01");
  await visit.click("keep-reading");
  await visit.page.locator("#faults, #odd-keep").first().waitFor();
  if (await visit.$("odd-keep").isVisible()) await visit.click("odd-keep");
  await stands("measured-on", /./);
  await visit.next("answer", "back");
  await visit.next("added", "added");
  await visit.write("added-amount", "some");
  await refused("added-amount", /./, "keep-added");
  await visit.end();
});

test("stopping shows it, going on works, and an edit ends what is worked out", async () => {
  const visit = await Visit.begin(browser);
  await onceStoppable(visit, "stop");
  await visit.open(bedText());
  await visit.step("answer");
  await visit.$("go-on").waitFor();
  assert.match(await visit.text("status"), /^Stopped\./);
  assert.equal(await visit.page.locator("#status progress").count(), 0);
  assert.match(await visit.text("headline"), /Stopped before there was a range/);
  assert.equal(await visit.$("print-sheet").getAttribute("aria-disabled"), "true");
  assert.match(await visit.text("sheet-note"), /once the range is worked out/);
  await visit.$("print-sheet").click({ force: true });
  await visit.step("answer");
  assert.equal(await visit.$("sheet").count(), 0);
  // It stays stopped while one looks elsewhere.
  await visit.next("save", "save");
  await visit.next("answer", "back");
  assert.match(await visit.text("status"), /^Stopped\./);
  await visit.click("go-on");
  await visit.whole();
  const first = await told(visit);

  const edit = async (amount) => {
    await visit.step("layers");
    await visit.write("amount-0-0", amount);
    await visit.click("to-answer");
  };
  await visit.page.evaluate(() => {
    globalThis.seen = [];
    new MutationObserver(() => {
      const headline = document.getElementById("headline");
      if (!headline || headline.classList.contains("dimmed")) return;
      const depth = document.getElementById("by-autumn")?.textContent;
      if (depth && globalThis.seen.at(-1) !== depth) globalThis.seen.push(depth);
    }).observe(document.body, { childList: true, subtree: true, attributes: true });
  });
  await visit.click("edit-layers");
  await onceStoppable(visit, "edit-layers");
  await edit("5");
  await edit("20");
  await visit.step("answer");
  await visit.page.waitForFunction(() => document.querySelector("#headline.dimmed, #by-autumn"));
  await visit.whole();
  const second = await told(visit);
  assert.notEqual(second.depth, first.depth);
  // Those before an edit are dimmed; those of the edit that was overtaken never come.
  const seen = await visit.page.evaluate(() => globalThis.seen);
  assert(!seen.includes(`${first.depth} cm`), `${seen}`);
  assert(seen.every((each) => Math.abs(parseInt(each) - second.depth) <= 3), `${seen}`);
  const at = await months(visit);
  const { path, text } = await visit.save(join(folder, "edited.toml"));
  assert.match(text, /amount = "20 cm"/);
  assert.deepEqual(second, native(path, at));
  await visit.end();
});

const RUNS = "<img src=x onerror=globalThis.caught=1><script>globalThis.caught=1</script>";
const prototypes = '{"format":1,"__proto__":{"caught":1},"constructor":{"prototype":{"caught":1}}';
const HOSTILE = {
  nothing: "",
  markup: RUNS,
  "not TOML": "bed = [[[",
  zeros: "\0\0\0\0",
  huge: "a".repeat(300_000),
  "many lines": "[[layer]]\n".repeat(20_000),
  "deep JSON": `{"bed":${"[".repeat(50_000)}${"]".repeat(50_000)}}`,
  "deep TOML": `a = ${"[".repeat(5_000)}${"]".repeat(5_000)}`,
  "dotted TOML": `${"a.".repeat(3_000)}a = 1`,
  null: "{\"bed\": null, \"layer\": null}",
  list: "[1, 2]",
  "a number as a bed": bedText({ bed: 7 }),
  "a word as layers": bedText({ layer: "logs" }),
  "layers of words": bedText({ layer: ["logs"] }),
  "a number as a name": bedText({ name: 7 }),
  "a number as a climate": bedText({ climate: 7 }),
  "a list as a day": bedText({ filled: [2026] }),
  "a number as a material": bedText({ layer: [{ put: [{ material: 3, amount: "1 cm" }] }] }),
  "markup as a material": bedText({ layer: [{ put: [{ material: RUNS, amount: "9 cm" }] }] }),
  "markup as an amount": bedText({ layer: [{ put: [{ material: "birch log", amount: RUNS }] }] }),
  "markup as a town": bedText({ climate: RUNS }),
  "markup as units": bedText({ units: RUNS }),
  "markup as a field": bedText({ [RUNS]: 1 }),
  "markup as a shape": bedText({ bed: { ...BOX, shape: RUNS } }),
  "a prototype as a shape": bedText({ bed: { ...BOX, shape: "__proto__" } }),
  "a prototype as a unit": bedText({
    layer: [{ put: [{ material: "birch log", amount: "3 constructor" }] }],
  }),
  "prototypes in JSON": `${prototypes},"bed":{},"layer":[]}`,
  "prototypes in TOML": 'format = 1\n[__proto__]\ncaught = 1\n[constructor.prototype]\ncaught = 1\n',
};

test("hostile files and links come to plain words", async () => {
  // How much a page has read from streams.
  const init = () => {
    globalThis.bytesRead = 0;
    const { read } = ReadableStreamDefaultReader.prototype;
    ReadableStreamDefaultReader.prototype.read = async function () {
      const part = await read.call(this);
      globalThis.bytesRead += part.value?.length ?? 0;
      return part;
    };
  };
  const visit = await Visit.begin(browser, { init });
  for (const [name, text] of Object.entries(HOSTILE)) {
    await visit.open(text);
    await visit.page
      .locator("#open-fault:not([hidden]), #main[data-step=answer]")
      .first()
      .waitFor();
    assert.equal(await visit.page.locator("#main").getAttribute("data-step"), "start", name);
    const words = await visit.text("open-fault");
    assert(words.length > 10 && words.length < 4000, `${name}: ${words}`);
    await visit.click("open-file");
    await visit.page.evaluate(() => (document.getElementById("open-fault").hidden = true));
  }
  assert.deepEqual(await visit.beds(), []);

  const long = (text, length) => text.repeat(Math.ceil(length / text.length)).slice(0, length);
  const links = {
    nothing: `${address}#bed=`,
    "no code": `${address}#bed=%%%<script>`,
    "a part": linkOf(bedText()).slice(0, -20),
    "another packing": `${address}#bed=${Buffer.from(bedText()).toString("base64url")}`,
    "not UTF-8": linkOf(Buffer.from([0xff, 0xfe, 0x00, 0xd8])),
    "a bomb": linkOf(Buffer.alloc(100_000_000)),
    "too long": `${address}#bed=${long("QUJD", 400_000)}`,
    markup: linkOf(RUNS),
    deep: linkOf(HOSTILE["deep JSON"]),
    "markup as a material": linkOf(HOSTILE["markup as a material"]),
    prototypes: linkOf(HOSTILE["prototypes in JSON"]),
  };
  for (const [name, link] of Object.entries(links)) {
    await visit.page.goto("about:blank");
    await visit.page.goto(link);
    await visit.$("link-fault").waitFor({ timeout: LONG });
    assert((await visit.text("link-fault")).length > 10, name);
    const bytes = await visit.page.evaluate(() => globalThis.bytesRead);
    assert(bytes < MOST_READ, `${name}: ${bytes} bytes were unpacked`);
    await visit.next("start", "link-start");
  }
  assert.deepEqual(await visit.beds(), []);
  assert.equal(await visit.page.evaluate(() => ({}).caught), undefined);
  await visit.end();
});

test("markup in every name of a bed stays words on every step", async () => {
  const text = readFileSync(join(root, "tests/page/hostile.toml"), "utf8");
  const visit = await Visit.begin(browser, { isPhone: true });
  await visit.open(text, `${RUNS}.toml`);
  await visit.step("answer");
  await visit.whole();
  const [{ name, climate }] = await visit.beds();
  assert.match(name, /onerror=/);
  const clean = (words) => words.replace(/\s+/g, " ").trim();
  assert.equal(clean(await visit.text("title")), clean(name));
  assert((await visit.text("about")).includes("</script>"));
  await visit.lookWidths();
  for (const step of ["shape", "stands", "place", "layers", "filled"]) {
    await visit.click(`edit-${step}`);
    await visit.step(step);
    if (step === "place") assert.equal(clean(await visit.text("place-now")), clean(climate.name));
    await visit.lookWidths();
    await visit.next("answer", "back");
  }
  for (const step of ["measured", "added", "save"]) {
    await visit.next(step, step);
    await visit.lookWidths();
    await visit.next("answer", "back");
  }
  await visit.click("share");
  await visit.$("link").waitFor();
  await visit.lookWidths();
  await visit.click("print-sheet");
  await visit.$("sheet").waitFor();
  assert((await visit.text("sheet")).includes("onerror="));
  assert.equal(await visit.countForeign(), visit.foreign);
  await visit.lookWidths();
  await visit.click("sheet-back");
  await visit.step("answer");
  const { path, name: saved } = await visit.save(join(folder, "hostile.toml"));
  assert.match(saved, /^[a-z0-9-]+\.toml$/);
  command("check", path);
  await visit.next("answer", "back");
  await visit.next("start", "to-start");
  assert((await visit.text("kept")).includes("onerror="));
  assert.deepEqual(visit.wide, []);
  await visit.end();
});

test("what an older page or another hand has kept does no harm", async () => {
  const init = () => {
    const keep = (name, value) => localStorage.setItem(name, value);
    const draft = { bed: { shape: "box" }, layer: [] };
    keep("moulder.now", "a");
    keep("moulder.units", "<b>");
    keep("moulder.bed.a", "{");
    keep("moulder.bed.b", JSON.stringify({ id: "b", changed: "x", draft: { bed: 1 } }));
    keep("moulder.bed.c", JSON.stringify({ id: "\"><img src=x onerror=caught=1>", changed: "2", draft }));
    keep("moulder.bed.d", JSON.stringify({ id: "d", changed: 4, draft }));
  };
  const visit = await Visit.begin(browser, { init });
  await visit.step("start");
  assert.equal(await visit.$("kept").locator("> li").count(), 1);
  await visit.page.locator("#kept .bed-row").click();
  await visit.page.locator("#main:not([data-step=start])").waitFor();
  await visit.next("start", "back");
  await visit.next("shape", "new-bed");
  await visit.end();
});

const pages = (pdf) => {
  const info = execFileSync("pdfinfo", ["-"], { input: pdf, encoding: "utf8" });
  const [, wide] = /Page size: +([\d.]+) x/.exec(info);
  return { count: Number(/Pages: +(\d+)/.exec(info)[1]), wide: Math.round(Number(wide)) };
};

test("on a deck the warning stays on every step, and on the sheet, which is one page", async () => {
  const visit = await Visit.begin(browser);
  const warned = async () => {
    assert.match(await visit.text("stop-card"), /structural engineer/);
    assert(await visit.$("stop-card").isVisible());
  };
  await visit.next("shape", "new-bed");
  await visit.click("shape-box");
  await visit.next("stands");
  await visit.click("stands-on-balcony");
  await warned();
  await visit.click("stands-on-ground");
  await visit.$("stop-card").waitFor({ state: "detached" });
  await visit.click("stands-on-deck");
  await warned();
  await visit.next("place");
  await warned();
  await visit.write("town", "Lyon");
  await visit.click("town-0");
  await visit.next("layers");
  await warned();
  await visit.click("add-logs");
  await visit.next("pick", "add-more");
  await warned();
  await visit.next("layers", "back");
  await visit.click("add-soil");
  await visit.next("filled");
  await warned();
  await visit.next("answer");
  await warned();
  for (const step of ["measured", "added", "save", "edit-shape", "edit-stands"]) {
    await visit.next(step.replace("edit-", ""), step);
    await warned();
    await visit.next("answer", "back");
  }
  await visit.whole();
  await warned();
  await visit.click("print-sheet");
  await visit.$("sheet").waitFor();
  const words = await visit.text("sheet");
  assert.match(words, /engineer/i);
  assert.match(words, /A forecast, not a promise/);
  const print = () => visit.page.pdf({ preferCSSPageSize: true });
  assert.deepEqual(pages(await print()), { count: 1, wide: 595 });
  const before = await visit.$("sheet").elementHandle();
  await visit.$("paper").selectOption("letter");
  await visit.page.waitForFunction((old) => !old.isConnected, before);
  await visit.$("sheet").waitFor();
  const pdf = await print();
  assert.deepEqual(pages(pdf), { count: 1, wide: 612 });
  const printed = execFileSync("pdftotext", ["-", "-"], { input: pdf, encoding: "utf8" });
  assert.match(printed, /engineer/i);
  assert(!/^(Back|Print)$/m.test(printed), "its buttons are not printed");
  await visit.click("sheet-back");
  await visit.step("answer");
  await warned();
  assert(await visit.$("headline").isVisible());
  await visit.end();
});

test("axe finds nothing on any step, in light and in dark", async () => {
  const visit = await Visit.begin(browser, { isPhone: true });
  const found = [];
  const look = async (about, rules) => found.push(...(await visit.axe(about, rules)));
  await look("start");
  await visit.next("shape", "new-bed");
  await visit.click("shape-bag");
  await visit.click("dig-in");
  await visit.write("width", "many");
  await visit.click("next");
  await visit.$("dig-card").waitFor();
  await visit.$("faults").waitFor();
  await look("shape with faults");
  await visit.write("width", "90");
  await visit.next("stands");
  await visit.click("stands-on-deck");
  await look("stands");
  await visit.next("place");
  await visit.write("town", "San");
  await visit.$("town-1").waitFor();
  await visit.page.locator("#by-degrees summary").click();
  await look("place");
  await visit.click("town-0");
  await visit.next("layers");
  await visit.click("add-logs");
  await visit.click("add-prunings");
  await visit.next("pick", "mix-1");
  await visit.click("group-leaves");
  await look("pick");
  await visit.next("layers", "back");
  await visit.click("add-green");
  await visit.click("add-soil");
  await visit.click("remove-1");
  await visit.$("undo").waitFor();
  await look("layers");
  await visit.next("filled");
  await visit.click("way-tipped");
  await look("filled");
  await visit.next("answer");
  await visit.words();
  await visit.click("share");
  await visit.page.locator("#assumed summary").click();
  await look("answer");
  await visit.next("measured", "measured");
  await visit.write("spot-1", "80");
  await visit.click("keep-reading");
  await visit.$("odd-card").waitFor();
  await look("measured");
  await visit.next("answer", "back");
  await visit.next("added", "added");
  await visit.write("added-amount", "none");
  await visit.click("keep-added");
  await visit.$("faults").waitFor();
  await look("added with faults");
  await visit.next("answer", "back");
  await visit.next("save", "save");
  await visit.page.locator("#file-text summary").click();
  await visit.page.locator("#credits summary").click();
  await look("save");
  await visit.next("answer", "back");
  await visit.click("print-sheet");
  await visit.$("sheet").waitFor();
  // Its inks are the engine's, for paper first.
  await look("sheet", { "color-contrast-enhanced": { enabled: false } });
  await visit.click("sheet-back");
  await visit.step("answer");
  await visit.next("start", "to-start");
  await visit.page.locator("[id^=delete-]").click();
  await look("start with a bed, asked to delete it");
  await visit.page.goto("about:blank");
  await visit.page.goto(linkOf(bedText({ name: "Other" })));
  await visit.$("link-both").waitFor();
  await look("a link over a bed");
  await visit.page.goto("about:blank");
  await visit.page.goto(linkOf("nothing"));
  await visit.$("link-fault").waitFor();
  await look("a link that is broken");
  assert.deepEqual(found, []);
  await visit.end();
});

test("who asks for less motion has none", async () => {
  const visit = await Visit.begin(browser);
  await visit.open(bedText());
  await visit.step("answer");
  const moving = async (reducedMotion) => {
    await visit.page.emulateMedia({ reducedMotion });
    return visit.page.evaluate(() =>
      [...document.querySelectorAll("*")].flatMap((each) => {
        const { transitionDuration, animationName, scrollBehavior } = getComputedStyle(each);
        const moves = [
          /[1-9]/.test(transitionDuration) && `transition ${transitionDuration}`,
          animationName !== "none" && `animation ${animationName}`,
          scrollBehavior === "smooth" && "smooth scrolling",
        ];
        return moves.filter(Boolean).map((move) => `${each.tagName}.${each.id}: ${move}`);
      }),
    );
  };
  assert.deepEqual(await moving("reduce"), []);
  assert.notDeepEqual(await moving("no-preference"), []);
  await visit.end();
});
