// Opens pages in a real browser as a person would, at three widths, light, dark and printed, and says what it saw.
// node look.mjs FOLDER-OF-PACKAGES BROWSER FOLDER PAGE.html ...   It writes one JSON object to standard output.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { join, basename } from "node:path";
import { pathToFileURL } from "node:url";

const [, , packages, browser, folder, ...pages] = process.argv;
const require = createRequire(join(packages, "package.json"));
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

// Between them every width's layout and both schemes' colours.
const AXE = ["360 light", "1400 dark"];

function seen() {
  const box = (one) => { const r = one.getBoundingClientRect(); return [r.width, r.height]; };
  const main = document.querySelector("main").getBoundingClientRect();
  return {
    scrolls: document.documentElement.scrollWidth > window.innerWidth,
    figures: [...document.querySelectorAll("figure svg")].map((one) => ({
      size: box(one),
      says: document.getElementById(one.getAttribute("aria-labelledby")).textContent.length,
      texts: [...one.querySelectorAll("text")].map((text) => {
        const r = text.getBoundingClientRect(), f = one.getBoundingClientRect();
        return r.left >= f.left - 2 && r.right <= f.right + 2 && r.top >= f.top - 2 && r.bottom <= f.bottom + 2;
      }),
      letters: Math.min(...[...one.querySelectorAll("text")].map((text) => text.getBoundingClientRect().height)),
    })),
    rows: document.querySelectorAll("tbody tr").length,
    shown: [...document.querySelectorAll("tbody tr")].filter((row) => row.getBoundingClientRect().height > 0).length,
    outside: [...document.querySelectorAll("p, li, h1, h2, h3, figcaption, code")].filter((one) => {
      const r = one.getBoundingClientRect();
      return r.width > 0 && (r.left < main.left - 1 || r.right > main.right + 1);
    }).length,
    paper: getComputedStyle(document.body).backgroundColor,
  };
}

const started = await puppeteer.launch({ executablePath: browser, args: ["--no-sandbox", "--disable-gpu"] });
const said = {};
for (const file of pages) {
  const url = pathToFileURL(file).href;
  const page = await started.newPage();
  const asked = [], errors = [];
  page.on("request", (one) => { if (one.url() !== url) asked.push(one.url()); });
  page.on("console", (one) => errors.push(one.text()));
  page.on("pageerror", (one) => errors.push(String(one)));
  await page.goto(url);
  const looks = {};
  for (const width of [360, 800, 1400]) {
    for (const scheme of ["light", "dark"]) {
      await page.setViewport({ width, height: 900 });
      await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
      await page.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
      looks[`${width} ${scheme}`] = await page.evaluate(seen);
      if (AXE.includes(`${width} ${scheme}`)) {
        await page.evaluate(axe);
        looks[`${width} ${scheme}`].axe = await page.evaluate(async () => {
          const found = await window.axe.run({ resultTypes: ["violations"] });
          return found.violations.map((one) => `${one.id}: ${one.nodes[0].html.slice(0, 200)}`);
        });
        looks[`${width} ${scheme}`].rules = await page.evaluate(async () => window.axe.getRules().length);
      }
    }
  }
  await page.reload();
  const order = [];
  for (let i = 0; i < 400; i++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const one = document.activeElement;
      if (one === document.body) return null;
      const every = [...document.querySelectorAll("a[href], summary, [tabindex='0']")];
      return [every.indexOf(one), getComputedStyle(one).outlineStyle];
    });
    if (at === null || (order.length && at[0] <= order[order.length - 1][0])) break;
    order.push(at);
  }
  const reachable = await page.evaluate(() =>
    [...document.querySelectorAll("a[href], summary, [tabindex='0']")].filter((one) => one.checkVisibility({ contentVisibilityAuto: true, visibilityProperty: true })).length);
  for (const format of ["A4", "Letter"]) {
    await page.pdf({ path: join(folder, `${basename(file)}.${format}.pdf`), format });
  }
  said[basename(file)] = { asked, errors, looks, order, reachable };
  await page.close();
}
await started.close();
console.log(JSON.stringify(said));
