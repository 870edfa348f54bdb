// Opens job sheets in Chromium and says as JSON what a person would have to look for: requests, messages, what the
// accessibility engine finds, what is cut off or overlaps, and every word that ought to be printed. For tests/sheet.rs.
//
//   node look.mjs MODULES CHROMIUM OUT FILE…
//
// MODULES holds node_modules; OUT takes NAME.pdf, NAME-390.png and NAME-1280.png. Of a NAME that ends in "letter", the
// second paper of a sheet, only the print is looked at.
import { createRequire } from 'node:module';
import { basename, join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

const [modules, executablePath, out, ...files] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), 'package.json'));
const { chromium } = require('playwright-core');
const axe = require('axe-core').source;

// No connection of the browser's own; the first two are for machines without a sandbox or a large /dev/shm.
const args = [
  '--no-sandbox', '--disable-dev-shm-usage', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync',
];

// Runs in the page: what is cut off or overlaps, as short texts.
function flaws() {
  const found = [];
  const say = (what, element) => found.push(`${what}: ${element.textContent.trim().slice(0, 60)}`);
  const shown = (element) => element.getClientRects().length > 0;
  const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > wide + 1) found.push('the page is wider than its window');
  for (const e of document.querySelectorAll('body *:not(svg *)')) {
    if (!shown(e)) continue;
    const box = e.getBoundingClientRect();
    const scrolls = e.closest('.scrolls') && matchMedia('screen').matches;
    if (!scrolls && (box.right > wide + 1 || box.left < -1)) say('beyond the page', e);
    const block = !['inline', 'inline-block', 'contents'].includes(getComputedStyle(e).display);
    if (block && !scrolls && e.scrollWidth > e.clientWidth + 1) say('wider than its box', e);
    const hides = !['visible'].includes(getComputedStyle(e).overflowY);
    if (hides && !scrolls && e.scrollHeight > e.clientHeight + 1) say('higher than its box', e);
  }
  for (const svg of document.querySelectorAll('svg')) {
    const paper = svg.getBoundingClientRect();
    const labels = [...svg.querySelectorAll('text')].map((e) => [e, e.getBoundingClientRect()]);
    labels.forEach(([e, a], i) => {
      if (a.left < paper.left - 1 || a.right > paper.right + 1 || a.top < paper.top - 1 || a.bottom > paper.bottom + 1)
        say('outside its drawing', e);
      for (const [other, b] of labels.slice(i + 1)) {
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        // A line of letters is higher than its letters.
        if (across > 0.5 && down > 0.35 * Math.min(a.height, b.height)) say(`over "${other.textContent}"`, e);
      }
    });
  }
  return found;
}

// Runs in the page: every word that is shown, and the smallest letters in points at 96 pixels to the inch.
function words() {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  let smallest = Infinity;
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const parent = node.parentElement;
    if (!node.data.trim() || !parent.getClientRects().length || parent.closest('title, desc')) continue;
    found.push(...node.data.trim().split(/\s+/));
    const svg = parent.closest('svg');
    const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
    smallest = Math.min(smallest, 0.75 * scale * parseFloat(getComputedStyle(parent).fontSize));
  }
  return { found, smallest };
}

// What the accessibility engine finds, in a page of its own, so that nothing it does counts as the sheet's.
async function engine(url) {
  const page = await browser.newPage();
  await page.goto(url);
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run(document, { preload: false }));
  await page.close();
  return found;
}

const browser = await chromium.launch({ executablePath, args });
const report = [];
for (const file of files) {
  const name = basename(file, '.html');
  const url = pathToFileURL(resolve(file)).href;
  const context = await browser.newContext();
  const page = await context.newPage();
  const said = [];
  const requests = [];
  context.on('request', (r) => r.url() === url || requests.push(r.url()));
  page.on('console', (m) => said.push(m.text()));
  page.on('pageerror', (e) => said.push(String(e)));
  await page.goto(url);
  const letter = name.endsWith('letter');
  const cut = [];
  for (const width of letter ? [] : [390, 1280]) {
    await page.setViewportSize({ width, height: 900 });
    await page.screenshot({ path: join(out, `${name}-${width}.png`), fullPage: true });
    cut.push(...(await page.evaluate(flaws)).map((f) => `${width} px wide: ${f}`));
  }
  await page.emulateMedia({ media: 'print' });
  // The paper between its margins of 10 mm, A4 being the narrower one.
  const paper = letter ? 215.9 : 210;
  await page.setViewportSize({ width: Math.round(((paper - 20) / 25.4) * 96), height: 1000 });
  cut.push(...(await page.evaluate(flaws)).map((f) => `in print: ${f}`));
  const { found, smallest } = await page.evaluate(words);
  await page.pdf({ path: join(out, `${name}.pdf`), preferCSSPageSize: true });
  await context.close();

  const { violations, passes } = letter ? { violations: [], passes: [] } : await engine(url);
  report.push({
    name, requests, said, cut, words: found, smallest,
    violations: violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => n.html).slice(0, 3).join(' ')}`),
    rules: passes.map((p) => p.id),
  });
}
await browser.close();
console.log(JSON.stringify(report));
