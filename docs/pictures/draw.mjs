// Draws every scene of replies.json at the width of a phone, with web components
// that look as the client does, into one PNG each.
import { readFile } from "node:fs/promises";
import { build } from "esbuild";
import puppeteer from "puppeteer-core";

const scenes = JSON.parse(await readFile(new URL("replies.json", import.meta.url), "utf8"));
const bundle = await build({ entryPoints: [new URL("client.mjs", import.meta.url).pathname], bundle: true, write: false, format: "iife", target: "chrome120" });

const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--font-render-hinting=none", "--lang=en-GB"],
  env: { ...process.env, TZ: "Europe/Oslo" },
});
const page = await browser.newPage();
await page.setViewport({ width: 390, height: 800, deviceScaleFactor: 1.5 });
page.on("pageerror", (e) => { throw e; });
await page.setContent('<!doctype html><html lang="en"><meta charset="utf-8"><body></body></html>');
await page.addScriptTag({ content: bundle.outputFiles[0].text });
for (const scene of scenes) {
  await page.evaluate((s) => window.draw(s), scene);
  await page.evaluate(() => new Promise((done) => setTimeout(done, 150)));
  const box = await page.$("#scene");
  await box.screenshot({ path: new URL(scene.name.replaceAll(" ", "-") + ".png", import.meta.url).pathname });
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  if (wide > 390) console.warn(`${scene.name}: ${wide} px wide, wider than the phone`);
}
await browser.close();
