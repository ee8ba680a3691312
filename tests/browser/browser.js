// One Chromium for all tests: Debian's, headless, and asked for nothing besides.
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

export const here = dirname(fileURLToPath(import.meta.url));
export const root = join(here, "..", "..");
export const jobs = join(root, "specs", "demo", "jobs");

/** The browser that is installed. */
function executable() {
  const paths = [process.env.CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser"];
  const found = paths.find((path) => path && existsSync(path));
  if (!found) throw new Error("no Chromium: install Debian's `chromium`, or name one in CHROMIUM");
  return found;
}

export function launch() {
  return chromium.launch({
    executablePath: executable(),
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
}

/** What the command writes: by the binary in TRUING, else by cargo. */
export function truing(...args) {
  const [command, ...first] = process.env.TRUING
    ? [process.env.TRUING]
    : ["cargo", "run", "--quiet", "--locked", "--manifest-path", join(root, "Cargo.toml"), "-p", "truing-cli", "--"];
  return execFileSync(command, [...first, ...args], { encoding: "utf8", maxBuffer: 64 << 20, stdio: ["ignore", "pipe", "inherit"] });
}

/** The report on a job sheet, in a folder of its own that `close` takes away. */
export function written(sheet, ...more) {
  const folder = mkdtempSync(join(tmpdir(), "truing-report-"));
  const path = join(folder, "report.html");
  truing("report", sheet, "-o", path, ...more);
  return {
    path,
    address: pathToFileURL(path).href,
    html: readFileSync(path, "utf8"),
    close: () => rmSync(folder, { recursive: true, force: true }),
  };
}

/** A page that counts and refuses every request besides the file itself, and keeps every complaint. */
export async function open(browser, report, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1200, height: 900 }, ...options });
  const asked = [];
  const said = [];
  await context.route("**/*", (route) => {
    const url = route.request().url();
    if (url === report.address) return route.continue();
    asked.push(url);
    return route.abort();
  });
  const page = await context.newPage();
  page.on("console", (message) => said.push(`${message.type()}: ${message.text()}`));
  page.on("pageerror", (error) => said.push(`error: ${error.message}`));
  page.on("requestfailed", (request) => said.push(`failed: ${request.url()}`));
  await page.goto(report.address, { waitUntil: "load" });
  return { page, context, asked, said };
}
