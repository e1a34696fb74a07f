// usage: node check.mjs PAGE.html...: checks written pages in Chromium; exit status 1 and a list when something is wrong.
//
// Without network, with scripts off and on: nothing on the console, nothing fetched, nothing wider than the window,
// no serious finding of axe-core, everything reachable by keyboard; on paper (A4 and Letter) identity and mark on every
// sheet and all folded text. HTML is checked by vnu where Java is there.
import { readFileSync } from "node:fs";
import { execFileSync } from "node:child_process";
import { basename } from "node:path";
import { launch, open, packageFile, paper, sheets } from "./browser.mjs";

const words = (text) => text.replace(/\s+/g, " ").trim();
// Paper breaks words at other places than screens do.
const letters = (text) => text.replace(/\s+/g, "");

const wrong = [];
const expect = (fine, file, what) => fine || wrong.push(`${file}: ${what}`);

async function screen(browser, file, width, scripts) {
  const where = `${width} px, scripts ${scripts ? "on" : "off"}`;
  const { page, troubles, close } = await open(browser, file, { width, scripts });
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  expect(wide <= 0, file, `${where}: ${wide} px wider than the window`);
  // The phone form of every page, and the desktop form of the first: the checker is slow on long pages.
  if (scripts && (width < 900 || file === process.argv[2])) await accessible(page, file, where);
  await keyboard(page, file, where);
  expect(troubles.length === 0, file, `${where}: ${troubles.join("; ")}`);
  await close();
}

async function accessible(page, file, where) {
  // The page forbids scripts of its own; the checker is brought in from outside it.
  await page.evaluate(readFileSync(packageFile("axe-core/axe.min.js"), "utf8"));
  const found = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  for (const v of found.violations) {
    const first = v.nodes[0]?.html.slice(0, 160);
    const line = `${where}: axe ${v.impact} ${v.id} at ${v.nodes.length} places, first ${first}`;
    if (["serious", "critical"].includes(v.impact)) wrong.push(`${file}: ${line}`);
    else console.log(`note: ${file}: ${line}`);
  }
}

// Tab goes from the skip link through the contents to the frames of wide tables.
async function keyboard(page, file, where) {
  const now = () =>
    page.evaluate(() => {
      const e = document.activeElement;
      const style = getComputedStyle(e);
      const box = e.getBoundingClientRect();
      const seen = style.outlineStyle !== "none" && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
      return { tag: e.tagName, name: e.className, href: e.getAttribute("href"), inNav: !!e.closest("nav"), seen };
    });
  await page.keyboard.press("Tab");
  const first = await now();
  expect(first.name === "skip" && first.seen, file, `${where}: Tab doesn't reach the skip link first`);
  await page.keyboard.press("Tab");
  let at = await now();
  expect(at.inNav && at.seen, file, `${where}: Tab doesn't reach the contents (${at.tag} ${at.name})`);
  if (at.tag === "SUMMARY" && (await page.evaluate(() => innerWidth < 900))) {
    await page.keyboard.press("Enter");
  }
  await page.keyboard.press("Tab");
  at = await now();
  expect(at.inNav && at.tag === "A" && at.seen, file, `${where}: no link of the contents by Tab (${at.tag} ${at.name})`);
  // Enter on a link of the contents leads to its chapter.
  await page.keyboard.press("Enter");
  await page.waitForTimeout(100);
  const target = await page.evaluate(() => location.hash.slice(1) === document.querySelector(":target")?.id);
  expect(target, file, `${where}: a link of the contents leads nowhere`);
  const frames = await page.evaluate(() => {
    const all = [...document.querySelectorAll(".scroll")].filter((e) => e.scrollWidth > e.clientWidth);
    return { all: all.length, deaf: all.filter((e) => e.tabIndex !== 0).map((e) => e.querySelector("table").id) };
  });
  expect(frames.deaf.length === 0, file, `${where}: tables that scroll but can't be reached by keyboard: ${frames.deaf.join(" ")}`);
  if (frames.all > 0) {
    await page.evaluate(() => {
      const frame = [...document.querySelectorAll(".scroll[tabindex]")].find((e) => e.scrollWidth > e.clientWidth);
      frame?.focus();
    });
    await page.keyboard.press("ArrowRight");
    await page.waitForTimeout(400);
    const moved = await page.evaluate(() => document.activeElement.scrollLeft > 0);
    expect(moved, file, `${where}: arrow keys don't move a wide table`);
  }
}

async function onPaper(browser, file, format) {
  const { page, close } = await open(browser, file);
  const { mark, document_, folds } = await page.evaluate(() => ({
    mark: document.querySelector("header .mark")?.textContent ?? "",
    document_: document.querySelector("#page-identity dd")?.textContent ?? "",
    folds: [...document.querySelectorAll("main details")].map((d) => [...d.childNodes].map((n) => n.textContent).join(" ")),
  }));
  const pdf = await paper(page, format);
  const pages = sheets(pdf);
  expect(document_ !== "", file, "no identity");
  pages.forEach((text, i) => {
    const has = (what) => letters(text).includes(letters(what));
    expect(has(document_), file, `${format}, sheet ${i + 1}: no document number`);
    expect(mark === "" || has(mark), file, `${format}, sheet ${i + 1}: no mark ${mark}`);
    expect(has(`Page ${i + 1} of ${pages.length}`), file, `${format}, sheet ${i + 1}: no page number`);
  });
  // What is wider than the sheet would be cut off. Margins are 16 and 14 mm.
  await page.emulateMedia({ media: "print" });
  const width = Math.floor(((format === "A4" ? 210 : 215.9) - 30) * (96 / 25.4));
  await page.setViewportSize({ width, height: 900 });
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  expect(wide <= 0, file, `${format}: ${wide} px wider than the sheet`);
  const whole = execFileSync("pdftotext", ["-", "-"], { input: pdf, maxBuffer: 1 << 28, encoding: "utf8" });
  const printed = new Set(words(whole).split(" "));
  for (const fold of folds) {
    // Words may be broken over lines; of a fold that isn't printed nearly all are missing.
    const all = words(fold).split(" ");
    const there = all.filter((w) => printed.has(w)).length;
    expect(there >= 0.6 * all.length, file, `${format}: folded text isn't printed: ${words(fold).slice(0, 80)}`);
  }
  console.log(`${file}: ${format}, ${pages.length} sheets`);
  await close();
}

// What a reviewer writes is saved as a file that is bound to the digest of the page; without scripts there is no button.
async function review(browser, file) {
  const { page, troubles, close } = await open(browser, file, { scripts: true });
  const rows = page.locator("#page-review [data-section]");
  expect((await rows.count()) > 10, file, "the form for remarks has no rows");
  // A remark without a decision, and a form without name and day, are not saved.
  await rows.nth(2).locator("textarea").fill("Why?");
  await page.click("#page-review-save");
  const told = await page.textContent("#page-review-wrong");
  expect(["who you are", "day of your remarks", "choose agree"].every((w) => told.includes(w)), file, `the form says only: ${told}`);
  await page.selectOption("#page-review-by", { index: 1 });
  await page.fill("#page-review-day", "2026-03-31");
  const by = await page.inputValue("#page-review-by");
  const link = page.locator("#verdict .ask a");
  expect((await link.getAttribute("href")) === "#page-remark-verdict", file, "no link from a chapter to its row");
  await rows.nth(2).locator("select").selectOption("object");
  await rows.nth(2).locator("textarea").fill('Why "K7"?\nNot <b>measured</b>.');
  const [download] = await Promise.all([page.waitForEvent("download"), page.click("#page-review-save")]);
  const saved = JSON.parse(readFileSync(await download.path(), "utf8"));
  const digest = await page.evaluate(() => document.getElementById("page-review").dataset.digest);
  const shown = await page.evaluate(() => document.getElementById("page-identity").textContent);
  expect(/^[0-9a-f]{64}$/.test(digest) && shown.includes(digest), file, "the form is not bound to the digest of the page");
  expect(saved.schema === "galipot.remarks/2" && saved.digest === digest && saved.by === by && saved.date === "2026-03-31", file, "the saved remarks are not those of the page");
  const one = saved.remarks;
  expect(one.length === 1 && one[0].decision === "object" && one[0].text.includes("<b>"), file, "the saved remarks are not what was written");
  expect(troubles.length === 0, file, `saving remarks: ${troubles.join("; ")}`);
  await close();
  const off = await open(browser, file, { scripts: false });
  expect(!(await off.page.isVisible("#page-review-save")), file, "a button without scripts");
  await off.close();
}

function valid(file) {
  try {
    const jar = packageFile("vnu-jar/build/dist/vnu.jar");
    execFileSync("java", ["-Xss4m", "-jar", jar, "--errors-only", file], { encoding: "utf8", stdio: "pipe" });
  } catch (e) {
    if (e.code === "ENOENT" || e.code === "MODULE_NOT_FOUND") console.log(`note: vnu wasn't run: ${e.code}`);
    else wrong.push(`${file}: vnu: ${String(e.stderr).split("\n").slice(0, 5).join("\n  ")}`);
  }
}

const browser = await launch();
for (const file of process.argv.slice(2)) {
  for (const scripts of [false, true]) for (const width of [390, 1280]) await screen(browser, file, width, scripts);
  for (const format of ["A4", "Letter"]) await onPaper(browser, file, format);
  // Dossiers have a form for remarks, the volume of a plan has none.
  if (basename(file) === "dossier.html") await review(browser, file);
  valid(file);
}
await browser.close();
wrong.forEach((line) => console.error(`wrong: ${line}`));
if (process.argv.length < 3) console.error("usage: node check.mjs PAGE.html...");
process.exit(wrong.length > 0 || process.argv.length < 3 ? 1 : 0);
