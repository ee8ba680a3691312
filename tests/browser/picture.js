// A picture of the first page of a job's report: node picture.js JOB.toml PICTURE.png
import { launch, open, written } from "./browser.js";

const [sheet, picture] = process.argv.slice(2);
const report = written(sheet);
const browser = await launch();
try {
  const { page } = await open(browser, report, { viewport: { width: 860, height: 600 }, deviceScaleFactor: 1.5 });
  const height = await page.evaluate(() => document.querySelector(".page").getBoundingClientRect().bottom);
  await page.screenshot({ path: picture, clip: { x: 0, y: 0, width: 860, height: Math.ceil(height) + 8 }, fullPage: true });
} finally {
  await browser.close();
  report.close();
}
