// Checks what `--html` writes with tools of others: see run-pages.
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { HtmlValidate } from "html-validate";
import { parse } from "parse5";
import { chromium } from "playwright-core";

const [blockside, out] = process.argv.slice(2, 4).map((path) => resolve(path));
const whole = process.argv[4] === "all";
rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const file = (name) => join(out, name);
const faults = [];
const fault = (text) => {
  faults.push(text);
  console.log(`FAULT: ${text}`);
};
const run = (...args) =>
  execFileSync(blockside, args, { encoding: "utf8", env: { ...process.env, BLOCKSIDE_HOME: join(out, "home") } });

let since = Date.now();
const took = (what) => {
  console.log(`${what}: ${((Date.now() - since) / 1000).toFixed(1)} s`);
  since = Date.now();
};

const chamber = "fixtures/chambers/crowded-tent.toml";
run("handbook", "--profile", chamber, "--html", file("handbook.html"));
run("handbook", "card", "--html", file("cards.html"));
run("handbook", "card", "--units", "us", "--html", file("cards-us.html"));
const species = JSON.parse(run("knowledge", "list", "species", "--format", "json")).entries.map((entry) => entry.id);
// The chosen stand for all: the species with the longest name, one with several stages that differ, and one in between.
const longest = species.reduce((one, other) => (other.length > one.length ? other : one));
const carded = whole ? species : [...new Set(["king-oyster", "reishi", longest])];
for (const id of carded) run("handbook", "card", id, "--html", file(`card-${id}.html`));
const cases = ["journey-leggy-oysters", "journey-green-spot", ...(whole ? ["journey-no-pins"] : []), "empty"];
run("log", "fixtures/logs/thermal.csv", "--plot", file("log.svg"));
for (const name of cases) {
  const chart = name === cases[0] ? ["--chart", file("log.svg")] : [];
  run("diagnose", `fixtures/cases/${name}.toml`, "--html", file(`case-${name}.html`), ...chart);
}
const cards = carded.map((id) => `card-${id}`);
const pages = ["handbook", "cards", "cards-us", ...cards, ...cases.map((name) => `case-${name}`)];
if (whole) {
  run("handbook", "--html", file("handbook-plain.html"));
  pages.push("handbook-plain");
}
const opened = pages.filter((name) => whole || name !== "cards-us");
const printed = pages.filter((name) => !name.startsWith("handbook"));
// What of the handbook is drawn on its own, to be looked at.
const places = ["sign-long-stems", "species-king-oyster", "cause-stale-air", "cause-green-mould", "key-long-stems", "chamber", "card-limits"];
took("pages written");

// 1. Well-formed by the standard's own parsing rules, and valid by an independent checker.
const validator = new HtmlValidate({
  extends: ["html-validate:recommended", "html-validate:a11y"],
  rules: {
    // The program writes void elements and inline styles (the length of a bar) on purpose.
    "void-style": "off",
    "no-inline-style": ["error", { allowedProperties: ["width"] }],
    "long-title": "off",
    "no-trailing-whitespace": "off",
  },
});
for (const name of pages) {
  const text = readFileSync(file(`${name}.html`), "utf8");
  parse(text, { onParseError: (error) => fault(`${name}: parse error ${error.code} at ${error.startOffset}`) });
  const report = await validator.validateString(text);
  const messages = report.results.flatMap((result) => result.messages);
  for (const message of messages.slice(0, 10)) {
    fault(`${name}:${message.line}:${message.column}: ${message.ruleId}: ${message.message}`);
  }
}
took("validity");

// 2. In a browser. Each page is opened once; then the window is given every width and every scheme. Colours do not depend
// on the width, so contrast is measured once for each scheme.
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  timeout: 60_000,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-dev-shm-usage", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
const requests = [];
const widths = [320, 360, 390, 800, 1280];
const shot = [390, 1280];
const context = await browser.newContext({ viewport: { width: 390, height: 900 }, javaScriptEnabled: true });
const page = await context.newPage();
page.on("request", (request) => requests.push(request.url()));
for (const name of opened) {
  await page.goto(pathToFileURL(file(`${name}.html`)).href);
  for (const scheme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme: scheme });
    for (const width of scheme === "light" ? widths : shot) {
      await page.setViewportSize({ width, height: 900 });
      const found = await page.evaluate(sideways);
      if (found.wide > width) fault(`${name} at ${width} px scrolls sideways to ${found.wide} px: ${found.widest}`);
      if (!shot.includes(width)) continue;
      if (width === shot[0]) for (const text of await page.evaluate(looked)) fault(`${name}, ${scheme}: ${text}`);
      await page.evaluate(() => window.scrollTo(0, 0));
      await page.screenshot({ path: file(`${name}-${width}-${scheme}.png`) });
      if (name.startsWith("handbook")) {
        // In so long a page each of these takes seconds: half of the screens show what there is to see.
        for (const place of (width === shot[0]) === (scheme === "light") || whole ? places : []) {
          const there = await page.$(`#${place}`);
          if (there === null) fault(`${name} has no ${place}`);
          else await there.screenshot({ path: file(`${name}-${place}-${width}-${scheme}.png`) });
        }
      } else {
        await page.screenshot({ path: file(`${name}-${width}-${scheme}-whole.png`), fullPage: true });
      }
    }
  }
  took(name);
}
// 3. On paper.
await page.emulateMedia({ colorScheme: "dark" });
const sheets = {};
for (const format of ["A4", "Letter"]) {
  for (const name of printed) {
    await page.goto(pathToFileURL(file(`${name}.html`)).href);
    const pdf = await page.pdf({ format, preferCSSPageSize: false, printBackground: true });
    writeFileSync(file(`${name}-${format}.pdf`), pdf);
    const count = (pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
    sheets[`${name} ${format}`] = count;
    const cards = await page.evaluate(() => document.querySelectorAll(".card").length);
    if (cards > 0 && count !== cards) fault(`${name} on ${format}: ${cards} cards on ${count} sheets`);
  }
}
const paper = await page.evaluate(() => matchMedia("print").matches);
if (paper) fault("the page was left in print");
await page.emulateMedia({ media: "print", colorScheme: "dark" });
await page.goto(pathToFileURL(file("cards.html")).href);
const paperColour = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
if (paperColour !== "rgb(255, 255, 255)") fault(`printed on ${paperColour}`);
await browser.close();
took("paper");
const outside = requests.filter((url) => !url.startsWith("file:") && !url.startsWith("data:"));
if (outside.length > 0) fault(`asked for ${outside[0]}`);
console.log(`${pages.length} pages looked at; sheets: ${JSON.stringify(sheets)}`);
console.log(faults.length === 0 ? "no fault" : `${faults.length} faults`);
process.exit(faults.length === 0 ? 0 : 1);

// Runs in the page: how wide it is, and what sticks out.
function sideways() {
  const root = document.documentElement;
  const wide = Math.max(root.scrollWidth, document.body.scrollWidth);
  let widest = "";
  if (wide > root.clientWidth) {
    for (const element of document.body.querySelectorAll("*")) {
      if (element.getBoundingClientRect().right > root.clientWidth + 1) widest = element.outerHTML.slice(0, 120);
    }
  }
  return { wide, widest };
}

// Runs in the page: headings, links, ids and the contrast of every text as it is drawn.
function looked() {
  const faults = [];
  if (document.querySelectorAll("h1").length !== 1) faults.push("not one h1");
  let level = 0;
  for (const heading of document.querySelectorAll("h1,h2,h3,h4,h5,h6")) {
    const own = Number(heading.tagName[1]);
    if (own > level + 1) faults.push(`${heading.tagName} after h${level}: ${heading.textContent.slice(0, 40)}`);
    level = own;
  }
  if (document.querySelectorAll("main").length !== 1) faults.push("not one main");
  if (document.querySelectorAll("script").length !== 0) faults.push("a script");
  for (const link of document.querySelectorAll("a[href^='#']")) {
    if (document.getElementById(link.getAttribute("href").slice(1)) === null) faults.push(`dead link ${link.getAttribute("href")}`);
  }
  for (const svg of document.querySelectorAll("svg")) {
    if (!svg.getAttribute("aria-label")) faults.push("a drawing without a name");
  }
  const parsed = (text) => text.match(/[\d.]+/g).map(Number);
  const luminance = ([red, green, blue]) => {
    const part = (value) => (value / 255 <= 0.03928 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
    return 0.2126 * part(red) + 0.7152 * part(green) + 0.0722 * part(blue);
  };
  const below = (element) => {
    for (let at = element; at !== null; at = at.parentElement) {
      const colour = parsed(getComputedStyle(at).backgroundColor);
      if (colour.length < 4 || colour[3] > 0) return colour;
    }
    return [255, 255, 255];
  };
  const seen = new Set();
  for (const element of document.querySelectorAll("p,li,a,h1,h2,h3,h4,b,em,small,span,code,figcaption,summary,th,td")) {
    const style = getComputedStyle(element);
    if (element.textContent.trim() === "" || style.display === "none") continue;
    const [ink, paper] = [parsed(style.color), below(element)];
    const key = `${ink} on ${paper}`;
    if (seen.has(key)) continue;
    seen.add(key);
    const [one, other] = [luminance(ink), luminance(paper)].sort((a, b) => b - a);
    const contrast = (one + 0.05) / (other + 0.05);
    if (contrast < 4.5) faults.push(`contrast ${contrast.toFixed(2)}: ${key}: ${element.outerHTML.slice(0, 80)}`);
  }
  return faults;
}
