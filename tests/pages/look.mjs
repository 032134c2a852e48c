// Opens pages in Chromium, light and dark, phone and desk, and says as JSON what there is to say.
import { readFileSync } from "node:fs";
import { chromium } from "playwright-core";

const order = JSON.parse(process.argv[2]);
const axe = readFileSync("node_modules/axe-core/axe.min.js", "utf8");
const standards = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const browser = await chromium.launch({
  executablePath: order.browser,
  args: ["--no-sandbox"],
});
const seen = [];

async function opened(address, options) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const entry = { address, ...options, said: [], requested: [] };
  page.on("console", (message) => entry.said.push(message.text()));
  page.on("pageerror", (error) => entry.said.push(String(error)));
  page.on("request", (request) => entry.requested.push(request.url()));
  await page.goto(address);
  return { context, page, entry };
}

for (const address of order.addresses) {
  for (const colorScheme of ["light", "dark"]) {
    for (const width of [390, 1200]) {
      const options = { viewport: { width, height: 900 }, colorScheme };
      // axe needs a script of its own, which the page's policy forbids.
      const { context, page, entry } = await opened(address, { ...options, bypassCSP: true });
      await page.evaluate(() => {
        for (const one of document.querySelectorAll("details")) one.open = true;
      });
      await page.evaluate(axe);
      const found = await page.evaluate(
        (values) => axe.run(document, { runOnly: { type: "tag", values } }),
        standards,
      );
      entry.rules = found.passes.length;
      entry.faults = found.violations.map((fault) => ({
        id: fault.id,
        impact: fault.impact,
        at: fault.nodes.map((node) => node.html.slice(0, 200)),
      }));
      entry.width = width;
      entry.scrollWidth = await page.evaluate(() => document.documentElement.scrollWidth);
      seen.push(entry);
      await context.close();
    }
  }
  // Without JavaScript and under the page's own policy, by keyboard alone.
  const { context, page, entry } = await opened(address, {
    viewport: { width: 1200, height: 900 },
    javaScriptEnabled: false,
  });
  await page.keyboard.press("Tab");
  entry.firstStop = await page.locator(":focus").innerText();
  await page.keyboard.press("Enter");
  entry.styled = await page.locator("body").evaluate((body) => getComputedStyle(body).margin);
  entry.after = new URL(page.url()).hash;
  const fold = await page.$("details:not([open]) > summary");
  if (fold) {
    await fold.focus();
    await page.keyboard.press("Enter");
    entry.unfolds = await fold.evaluate((summary) => summary.parentElement.open);
  }
  const code = page.locator(".code").first();
  if (order.pdf && (await code.count())) {
    await code.screenshot({ path: order.pdf + "/code.png" });
  }
  if (order.pdf) {
    for (const format of ["A4", "Letter"]) {
      await page.pdf({ path: `${order.pdf}/${format}.pdf`, format });
    }
  }
  seen.push(entry);
  await context.close();
}
await browser.close();
process.stdout.write(JSON.stringify(seen));
