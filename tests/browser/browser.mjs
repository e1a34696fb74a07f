// One way to open a page for all browser checks: Chromium of the system, no network, scripts on or off.
import { createRequire } from "node:module";
import { execFileSync } from "node:child_process";
import { pathToFileURL } from "node:url";
import { resolve } from "node:path";

// Packages stand beside this file, or in the folder that GALIPOT_NODE_MODULES names.
const require = createRequire(process.env.GALIPOT_NODE_MODULES ? `${process.env.GALIPOT_NODE_MODULES}/x.js` : import.meta.url);
const { chromium } = require("playwright-core");

export const packageFile = (name) => require.resolve(name);

export const launch = () =>
  chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"],
  });

// Opens a file; gives the page and what went wrong on it so far.
export async function open(browser, file, { width = 1280, height = 900, scripts = false } = {}) {
  const context = await browser.newContext({ viewport: { width, height }, javaScriptEnabled: scripts, offline: true, reducedMotion: "reduce" });
  const page = await context.newPage();
  const address = pathToFileURL(resolve(file)).href;
  const troubles = [];
  page.on("console", (m) => ["error", "warning"].includes(m.type()) && troubles.push(`console: ${m.text()}`));
  page.on("pageerror", (e) => troubles.push(`error: ${e.message}`));
  page.on("request", (r) => r.url().split("#")[0] !== address && troubles.push(`request: ${r.url().slice(0, 200)}`));
  await page.goto(address, { waitUntil: "load" });
  return { page, troubles, close: () => context.close() };
}

// The page on paper, as bytes.
export const paper = (page, format) => page.pdf({ format, printBackground: false });

// The words of every sheet of paper.
export function sheets(pdf) {
  const text = execFileSync("pdftotext", ["-layout", "-", "-"], { input: pdf, maxBuffer: 1 << 28, encoding: "utf8" });
  return text.split("\f").slice(0, -1);
}
