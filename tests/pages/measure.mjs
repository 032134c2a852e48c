// Says as JSON how tall the elements of a page are in screens of given sizes, and their type.
import { chromium } from "playwright-core";

const order = JSON.parse(process.argv[2]);
const browser = await chromium.launch({ executablePath: order.browser, args: ["--no-sandbox"] });
const measured = [];
for (const address of order.addresses) {
  for (const [width, height] of order.screens) {
    const context = await browser.newContext({ viewport: { width, height } });
    const page = await context.newPage();
    await page.goto(address);
    const found = await page.$$eval(order.selector, (elements) =>
      elements.map((element) => {
        const texts = [...element.querySelectorAll("*")].filter((one) => one.innerText);
        const sizes = [element, ...texts].map((one) => {
          const style = getComputedStyle(one);
          return [parseFloat(style.fontSize), parseFloat(style.lineHeight)];
        });
        return {
          title: element.querySelector("h1, h2, h3, h4, h5").innerText,
          height: element.getBoundingClientRect().height,
          beyond: element.scrollWidth - element.clientWidth,
          smallest: Math.min(...sizes.map(([size]) => size)),
          closest: Math.min(...sizes.map(([size, line]) => line / size)),
        };
      }),
    );
    measured.push(...found.map((one) => ({ address, screen: [width, height], ...one })));
    await context.close();
  }
}
await browser.close();
process.stdout.write(JSON.stringify(measured));
