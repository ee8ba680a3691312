// Each demo job's report in a real browser: no complaint of the page, no request to anywhere, everybody
// can read it (axe-core: contrast, landmarks, names, tables), it fits a phone, and what matters most
// fits the first page of A4 and of Letter.
import assert from "node:assert/strict";
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { pathToFileURL } from "node:url";
import { jobs, launch, open, root, written } from "./browser.js";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const sheets = readdirSync(jobs).filter((name) => name.endsWith(".toml")).sort();
const hostile = "hostile";

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser?.close(); });

/** What axe-core has against a page, and what it cannot say of drawings. */
async function violations(page) {
  // By the browser's own protocol: the page's policy lets no script of a page in.
  await page.evaluate(axe);
  const result = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations", "incomplete"] }));
  const told = (of, nodes = of.nodes) => `${of.id}: ${of.help}: ${nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(" | ")}`;
  const found = result.violations.map((of) => told(of));
  // axe-core does not see through SVG; those are worked out below. Any other it could not say is one.
  for (const of of result.incomplete.filter((of) => of.id === "color-contrast")) {
    const seen = [];
    for (const node of of.nodes) {
      // What a narrow page scrolls away is looked at on the wide one.
      const scrolled = await page.evaluate((at) => {
        const region = document.querySelector(at)?.closest(".scroll");
        return region ? region.scrollWidth > region.clientWidth : false;
      }, node.target[0]);
      if (!node.html.startsWith("<text") && !scrolled) seen.push(node);
    }
    if (seen.length > 0) found.push(told(of, seen));
  }
  return [...found, ...(await drawnTooFaint(page))];
}

/** Drawn text below 4.5 : 1, and drawn marks below 3 : 1 (WCAG 2.2, 1.4.3 and 1.4.11), by what they lie on. */
function drawnTooFaint(page) {
  return page.evaluate(() => {
    const channels = (colour) => colour.match(/[\d.]+/g).slice(0, 3).map(Number);
    // Relative luminance (WCAG 2.2, definitions).
    const linear = (c) => ((c /= 255) <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
    const luminance = (colour) => {
      const [r, g, b] = channels(colour).map(linear);
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const ratio = (one, other) => {
      const [high, low] = [luminance(one), luminance(other)].sort((a, b) => b - a);
      return (high + 0.05) / (low + 0.05);
    };
    const paper = getComputedStyle(document.documentElement).backgroundColor;
    const fill = (selector) => {
      const of = document.querySelector(selector);
      return of && getComputedStyle(of).fill;
    };
    const grounds = [paper, fill("svg .band"), fill("svg .service")].filter(Boolean);
    const faint = [];
    const check = (selector, property, least, over) => {
      for (const of of document.querySelectorAll(selector)) {
        const worst = Math.min(...over.map((ground) => ratio(getComputedStyle(of)[property], ground)));
        if (worst < least) return faint.push(`${selector} ${property}: ${worst.toFixed(2)} of ${least}`);
      }
    };
    check("svg text", "fill", 4.5, [paper]);
    for (const mark of [".mark", ".reach", ".known", ".cap"]) check(`svg ${mark}`, "stroke", 3, grounds);
    check("svg .arrow", "fill", 3, grounds);
    check("svg .edge", "stroke", 3, grounds);
    check("svg .hatch", "stroke", 3, grounds);
    return faint;
  });
}

/** A sheet whose texts attack, long and from right to left, beside the demo's spec. */
function hostileSheet(folder) {
  const attack = "</style></title><script>document.title='owned';fetch('http://localhost:1/x')</script><img src=http://localhost:1/x.png onerror=fetch('http://localhost:1/y')>";
  const long = `${attack} ${"البطارية فارغة عند الظهر ".repeat(400)}`;
  const text = readFileSync(join(jobs, "pl-0704.toml"), "utf8")
    .replace(/^complaint = .*$/m, `complaint = '''${long}'''`)
    .replace(/^technician = .*$/m, `technician = '''${attack}'''`)
    .replace(/^note = .*$/m, `note = '''${attack}'''`);
  const path = join(folder, "hostile.toml");
  writeFileSync(path, text);
  return path;
}

for (const name of [...sheets, hostile]) {
  describe(name, () => {
    let report, folder;
    before(() => {
      if (name === hostile) {
        folder = mkdtempSync(join(tmpdir(), "truing-hostile-"));
        report = written(hostileSheet(folder), "--spec", join(root, "specs", "demo", "ostrevik-hauler-680.truing"));
      } else {
        report = written(join(jobs, name));
      }
    });
    after(() => {
      report?.close();
      if (folder) rmSync(folder, { recursive: true });
    });

    test("asks for nothing and says nothing", async () => {
      const { page, context, asked, said } = await open(browser, report);
      await page.evaluate(() => document.fonts.ready);
      await page.waitForTimeout(200);
      assert.deepEqual(asked, []);
      assert.deepEqual(said, []);
      assert.equal(await page.evaluate(() => document.scripts.length), 0);
      assert.equal(await page.evaluate(() => performance.getEntriesByType("resource").filter((of) => !of.name.startsWith("data:")).length), 0);
      assert.match(await page.title(), /^Job PL-07\d\d: /);
      await context.close();
    });

    for (const colorScheme of ["light", "dark"]) {
      test(`can be read by everybody, ${colorScheme}`, async () => {
        const { page, context } = await open(browser, report, { colorScheme, bypassCSP: true });
        assert.deepEqual(await violations(page), []);
        await context.close();
      });
    }

    test("can be read by everybody on a phone, and is not wider than it", async () => {
      const { page, context } = await open(browser, report, { viewport: { width: 360, height: 740 }, bypassCSP: true });
      assert.deepEqual(await violations(page), []);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= 360, `${wide} px wide`);
      await context.close();
    });

    test("has its landmarks, one heading of the first level, headings in order, drawings with names", async () => {
      const { page, context } = await open(browser, report);
      const found = await page.evaluate(() => {
        const all = (selector) => [...document.querySelectorAll(selector)];
        const named = (svg) => svg.getAttribute("aria-labelledby").split(" ").every((id) => document.getElementById(id)?.textContent.trim());
        return {
          lang: document.documentElement.lang,
          landmarks: ["header", "main", "footer"].map((of) => all(`body > ${of}`).length),
          levels: all("h1, h2, h3, h4").map((of) => Number(of.tagName[1])),
          drawings: all("svg[role=img]").length,
          nameless: all("svg[role=img]").filter((svg) => !named(svg)).length,
          silent: all("svg:not([role])").filter((svg) => !svg.closest("[role=img], [aria-hidden=true]")).length,
          scopeless: all("th:not([scope])").length,
          ids: all("[id]").length - new Set(all("[id]").map((of) => of.id)).size,
        };
      });
      assert.equal(found.lang, "en");
      assert.deepEqual(found.landmarks, [1, 1, 1]);
      assert.equal(found.levels.filter((level) => level === 1).length, 1);
      for (const [n, level] of found.levels.entries()) {
        assert.ok(level <= (found.levels[n - 1] ?? 0) + 1, `heading ${n} of level ${level}`);
      }
      assert.ok(found.drawings > 0);
      assert.deepEqual([found.nameless, found.silent, found.scopeless, found.ids], [0, 0, 0, 0]);
      await context.close();
    });

    // In CSS pixels: the sheet less the margins of @page.
    const papers = { A4: [180, 267], Letter: [185.9, 249.4] };
    for (const [paper, [across, along]] of Object.entries(papers)) {
      test(`has what matters most on the first page of ${paper}, and nothing beside the paper`, async () => {
        const millimetre = 96 / 25.4;
        const width = Math.floor(across * millimetre);
        const { page, context } = await open(browser, report, { viewport: { width, height: 800 } });
        await page.emulateMedia({ media: "print" });
        const found = await page.evaluate(() => ({
          bottom: document.querySelector(".page").getBoundingClientRect().bottom,
          wide: document.documentElement.scrollWidth,
          outside: [...document.querySelectorAll("td, th, p, li, dd, dt")].filter((of) => of.getBoundingClientRect().right > innerWidth + 1).length,
        }));
        assert.ok(found.bottom <= along * millimetre, `${Math.round(found.bottom / millimetre)} of ${along} mm`);
        assert.ok(found.wide <= width && found.outside === 0, `${JSON.stringify(found)} on ${width} px`);
        await context.close();
      });
    }

    test("is on white paper though the screen is dark", async () => {
      const { page, context } = await open(browser, report, { colorScheme: "dark" });
      const colour = () => page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
      assert.notEqual(await colour(), "rgb(255, 255, 255)");
      await page.emulateMedia({ media: "print", colorScheme: "dark" });
      assert.equal(await colour(), "rgb(255, 255, 255)");
      await context.close();
    });
  });
}

test("these tests see what is wrong", async () => {
  const folder = mkdtempSync(join(tmpdir(), "truing-wrong-"));
  const path = join(folder, "wrong.html");
  writeFileSync(path, "<html style='background:#aaa'><body style='color:#999'><p>grey on grey<img src='http://localhost:1/x.png'><svg><text fill='#aaa'>faint</text></svg></body></html>");
  const report = { address: pathToFileURL(path).href };
  const { page, context, asked, said } = await open(browser, report, { bypassCSP: true });
  assert.deepEqual(asked, ["http://localhost:1/x.png"]);
  assert.ok(said.length > 0);
  const found = (await violations(page)).map((of) => of.split(":")[0]);
  for (const rule of ["color-contrast", "html-has-lang", "image-alt", "landmark-one-main", "svg text fill"]) assert.ok(found.includes(rule), rule);
  await context.close();
  rmSync(folder, { recursive: true });
});
