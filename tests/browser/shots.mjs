// usage: node shots.mjs PAGE.html FOLDER [PAGES] [SLICES]: pictures of a page at desktop and phone width and on paper.
import { mkdirSync, writeFileSync } from "node:fs";
import { execFileSync } from "node:child_process";
import { launch, open, paper } from "./browser.mjs";

const [file, folder, pages = "6", slices = "4"] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
const browser = await launch();
for (const [name, width, height] of [["desktop", 1280, 900], ["phone", 390, 844]]) {
  const { page, close } = await open(browser, file, { width, height });
  await page.screenshot({ path: `${folder}/${name}-top.png` });
  // Slices that can still be read.
  const tall = await page.evaluate(() => document.documentElement.scrollHeight);
  const slice = name === "phone" ? 2400 : 1500;
  await page.setViewportSize({ width, height: slice });
  for (let i = 0; i * slice < tall && i < Number(slices); i++) {
    await page.evaluate((y) => scrollTo(0, y), i * slice);
    await page.screenshot({ path: `${folder}/${name}-${i + 1}.png` });
  }
  await close();
}
const { page, close } = await open(browser, file);
for (const format of ["A4", "Letter"]) {
  writeFileSync(`${folder}/${format}.pdf`, await paper(page, format));
  execFileSync("pdftoppm", ["-r", "70", "-l", pages, "-png", `${folder}/${format}.pdf`, `${folder}/${format}`]);
}
await close();
await browser.close();
