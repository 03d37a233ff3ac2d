// What a browser sees of the report page. Speaks TAP.
// usage: node report.mjs PROGRAM ROOT MODULES FOLDER
// MODULES holds node_modules with playwright-core and axe-core (tools/check installs them); FOLDER
// takes pages, screenshots and the list of what was looked at. DAMPFORK_SHOTS=1 renews those in docs/ too.
import { execFileSync } from 'node:child_process';
import { copyFileSync, existsSync, mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';

const [program, root, modules, folder] = process.argv.slice(2).map((word) => path.resolve(word));
const browserPath = '/usr/bin/chromium';

function skipAll(reason) {
  console.log(`1..0 # SKIP ${reason}`);
  process.exit(0);
}

const require = createRequire(path.join(modules, 'any.js'));
let chromium, axe;
try {
  ({ chromium } = require('playwright-core'));
  axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
} catch {
  skipAll('the npm packages playwright-core and axe-core are not installed: tools/check does it');
}
if (!existsSync(browserPath)) skipAll('the Debian package chromium is not installed');

let count = 0, failed = 0;
const looked = [];
function check(good, what, why = '') {
  count += 1;
  looked.push(what);
  if (!good) failed += 1;
  console.log(`${good ? 'ok' : 'not ok'} ${count} - ${what}`);
  if (!good && why) console.log(`# ${String(why).replaceAll('\n', '\n# ')}`);
}

function make(name, scenario, ...more) {
  const out = path.join(folder, name);
  execFileSync(program, ['report', scenario, '-o', out, '--quiet', ...more], { stdio: 'inherit' });
  return path.join(out, 'report.html');
}

// A page under watch: whatever it says, asks for, or fails at is noted.
async function open(browser, file, options) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const seen = [];
  page.on('console', (message) => seen.push(`console: ${message.text()}`));
  page.on('pageerror', (error) => seen.push(`error: ${error.message}`));
  page.on('dialog', (dialog) => { seen.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  page.on('request', (request) => {
    if (request.url() !== `file://${file}` && !request.url().startsWith('data:')) seen.push(`request: ${request.url()}`);
  });
  await page.goto(`file://${file}`);
  return { page, seen, close: () => context.close() };
}

const sideways = (page) => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
const figures = (page) => page.$$eval('[data-figure]', (list) => list.map((e) => e.textContent).join(' | '));
const drawn = (page) => page.$$eval('svg .setting.on', (list) => list.map((g) => g.dataset.i).join(' '));
const text = (page) => page.$eval('#slide-text', (e) => e.textContent);

async function serious(page) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
  return found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
    .map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 200)}`).join('\n');
}

// Pages of a printed PDF.
async function printed(page, format) {
  const bytes = await page.pdf({ format, preferCSSPageSize: false });
  return (bytes.toString('latin1').match(/\/Type\s*\/Page\b/g) || []).length;
}

async function sliderByMouseAndKeys(browser, file) {
  const { page, seen, close } = await open(browser, file, { viewport: { width: 1600, height: 1000 } });
  check((await text(page)).includes('as in the file'), 'the slider stands at the setting of the file', await text(page));
  check((await drawn(page)) === '', 'that setting is drawn once, as the fork itself');
  const before = await figures(page);
  await page.locator('#slide').scrollIntoViewIfNeeded();
  const box = await page.locator('#slide').boundingBox();
  await page.mouse.click(box.x + 0.1 * box.width, box.y + box.height / 2);
  const clicked = await figures(page), group = await drawn(page);
  check(clicked !== before, 'a click changes the three figures', `${before} -> ${clicked}`);
  check(new Set(group.split(' ')).size === 1 && group.length > 0, 'and shows one setting in the pictures', group);
  check(!/-( \||$)/.test(clicked), 'all three figures have a value', clicked);
  const ride = await page.$$eval('[data-told]', (list) => list.map((e) => e.textContent).join());
  await page.locator('#slide').focus();
  await page.keyboard.press('End');
  check((await figures(page)) !== clicked && (await drawn(page)) !== group, 'the End key changes figures and pictures');
  check((await page.$$eval('[data-told]', (list) => list.map((e) => e.textContent).join())) !== ride, 'and the column of the rides');
  const last = await text(page);
  await page.keyboard.press('ArrowLeft');
  check((await text(page)) !== last, 'an arrow key moves by one setting');
  check((await page.getAttribute('#slide', 'aria-valuetext')) === (await text(page)), 'a screen reader hears the setting in words');
  check(/turn.*= .* mm/.test(await text(page)), 'the setting is said in turns and millimetres', await text(page));
  check(seen.length === 0, 'no message on the console, nothing asked for outside the file', seen.join('\n'));
  await close();
}

async function withoutScripts(browser, file) {
  const { page, close } = await open(browser, file, { javaScriptEnabled: false, viewport: { width: 1600, height: 1000 } });
  check(await page.locator('#slide').isHidden(), 'without scripts there is no slider that does nothing');
  check((await page.locator('figure svg').count()) >= 3, 'without scripts the pictures are there');
  check((await page.locator('table').count()) > 3, 'without scripts every setting stands in a table');
  await close();
}

async function keyboardAlone(browser, file) {
  const { page, close } = await open(browser, file, { viewport: { width: 1600, height: 1000 } });
  await page.keyboard.press('Tab');
  check((await page.evaluate(() => document.activeElement.className)) === 'skip', 'the first Tab offers the way to the answer');
  let reached = false;
  for (let i = 0; i < 40 && !reached; i++) {
    await page.keyboard.press('Tab');
    reached = await page.evaluate(() => document.activeElement.id === 'slide');
  }
  check(reached, 'Tab reaches the slider');
  await close();
}

async function pictures(browser, file) {
  const { page, close } = await open(browser, file, { viewport: { width: 1600, height: 1000 } });
  const told = await page.$$eval('figure svg', (list) => list.map((s) => ({
    named: s.getAttribute('aria-labelledby').split(' ').every((id) => s.querySelector(`#${id}`)?.textContent),
    text: s.querySelectorAll('text').length,
    table: Boolean(s.closest('figure').querySelector('table tbody tr')),
    data: s.closest('figure').querySelector('a[download]')?.href.startsWith('data:text/csv') })));
  check(told.every((s) => s.named), 'each picture has title and description inside');
  check(told.every((s) => s.text > 4), 'its text is text');
  check(told.every((s) => s.table), 'a table stands behind each');
  check(told.every((s) => s.data), 'its data can be taken away');
  const twice = await page.evaluate(() => {
    const ids = [...document.querySelectorAll('[id]')].map((e) => e.id);
    return ids.filter((id, i) => ids.indexOf(id) !== i);
  });
  check(twice.length === 0, 'no id is used twice', twice.join(' '));
  const [download] = await Promise.all([page.waitForEvent('download'), page.locator('figure a[download]').first().click()]);
  const csv = readFileSync(await download.path(), 'utf8');
  check(csv.startsWith('time_s,') && csv.split('\n').length > 100, 'what is taken away is a table with a heading', csv.slice(0, 80));
  await close();
}

async function sizesAndLight(browser, file, name) {
  for (const colorScheme of ['light', 'dark'])
    for (const width of [360, 1600]) {
      const { page, seen, close } = await open(browser, file, { viewport: { width, height: width < 500 ? 780 : 1000 }, colorScheme });
      check((await sideways(page)) <= 0, `${name}: no sideways scrolling at ${width} px, ${colorScheme}`, await sideways(page));
      const found = await serious(page);
      check(found === '', `${name}: axe-core finds nothing serious at ${width} px, ${colorScheme}`, found);
      check(seen.length === 0, `${name}: silent at ${width} px, ${colorScheme}`, seen.join('\n'));
      await close();
    }
}

// A fork beside its twin prints on six pages, whatever the paper; the answer stands whole on the first.
const promisedPages = 6;
async function printsAsPromised(page, name) {
  for (const format of ['A4', 'Letter']) {
    const pages = await printed(page, format);
    check(pages === promisedPages, `${name}: ${promisedPages} pages of ${format}`, pages);
  }
}

async function paper(browser, file) {
  const { page, close } = await open(browser, file, { viewport: { width: 1600, height: 1000 } });
  await printsAsPromised(page, 'standard');
  await page.emulateMedia({ media: 'print' });
  check(await page.locator('#slider').isHidden(), 'paper has no slider');
  check(await page.locator('.caution').first().isVisible(), 'paper has the cautions');
  await close();
}

async function hostile(browser) {
  const title = '</title></h1><script>document.title="ran"</script><img src=x onerror=alert(1)> `id` $(id) & "q"';
  const file = path.join(folder, 'hostile.yaml');
  writeFileSync(file, `based_on: valved.yaml\ntitle: '${title}'\n`);
  for (const name of ['plain', 'valved']) copyFileSync(path.join(root, 'tests/cli', `${name}.yaml`), path.join(folder, `${name}.yaml`));
  const { page, seen, close } = await open(browser, make('hostile', file, '--slide', 'valve.preload=2,3 turn'), {});
  check((await page.$eval('h1', (e) => e.textContent)) === title, 'a hostile title is text in the heading', await page.$eval('h1', (e) => e.textContent));
  check((await page.title()).startsWith(title) && (await page.$$('img')).length === 0, 'and in the title of the window, and makes no element');
  check(seen.length === 0, 'and runs nothing', seen.join('\n'));
  await close();
}

// Any one value may slide, not only the valve's preload.
async function otherValues(browser, file) {
  for (const [key, steps, unit] of [['spring.rate', '8:10:1 N/mm', 'N/mm'], ['air.oil_level', '120:150:15 mm', 'mm']]) {
    const { page, seen, close } = await open(browser, make(key, file, '--slide', `${key}=${steps}`), {});
    const before = await figures(page), drawnBefore = await drawn(page);
    await page.focus('#slide');
    await page.keyboard.press('Home');
    const first = await figures(page), words = await text(page);
    await page.keyboard.press('End');
    check((await figures(page)) !== first && (await drawn(page)) !== drawnBefore && !/-( \||$)/.test(first), `${key} slides: figures and pictures follow`, `${before} ${first}`);
    check(words.includes(unit) && (await text(page)) !== words, `${key}: the setting is said with its unit`, words);
    check(seen.length === 0, `${key}: silent`, seen.join('\n'));
    await close();
  }
}

function listLooked() {
  const lines = looked.map((what, i) => `${i + 1}. ${what}`);
  const text = ['# What the browser test looks at', '',
    'Written by the test itself (`DAMPFORK_SHOTS=1 meson test -C build browser`): the report page opened from `file://` in Chromium, by mouse,',
    'by keyboard alone, without scripts, on a phone and a desk, light and dark, on paper, read by axe-core, and with a hostile title.', '',
    ...lines, ''].join('\n');
  writeFileSync(path.join(folder, 'report-tests.md'), text);
  if (process.env.DAMPFORK_SHOTS) writeFileSync(path.join(root, 'docs', 'report-tests.md'), text);
}

async function shots(browser, file) {
  const sizes = [['phone', 360, 780], ['desk', 1280, 900]];
  for (const [name, width, height] of sizes) {
    const { page, close } = await open(browser, file, { viewport: { width, height } });
    const place = path.join(folder, `report-${name}.png`);
    await page.screenshot({ path: place });
    check(statSync(place).size > 10000, `screenshot ${name}`);
    await page.evaluate(() => document.getElementById('seen').scrollIntoView());
    await page.screenshot({ path: path.join(folder, `report-${name}-pictures.png`) });
    if (process.env.DAMPFORK_SHOTS)
      for (const part of ['', '-pictures']) copyFileSync(path.join(folder, `report-${name}${part}.png`), path.join(root, 'docs', `report-${name}${part}.png`));
    await close();
  }
}

mkdirSync(folder, { recursive: true });
const browser = await chromium.launch({ executablePath: browserPath, args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic',
  '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'] });
try {
  const scenario = (name) => path.join(root, 'scenarios', `${name}.yaml`);
  const file = make('standard', scenario('standard-small-holes-valved'));
  check(statSync(file).size < 3e6, 'the page is below 3 MB', statSync(file).size);
  await sliderByMouseAndKeys(browser, file);
  await withoutScripts(browser, file);
  await keyboardAlone(browser, file);
  await pictures(browser, file);
  await sizesAndLight(browser, file, 'standard');
  await paper(browser, file);
  await hostile(browser);
  await shots(browser, file);
  for (const name of ['generous-holes', 'narrow-check', 'heavy-tourer']) {
    const pair = make(name, scenario(`${name}-valved`), '--slide', 'valve.preload=1:4:1 turn');
    const { page, seen, close } = await open(browser, pair, { viewport: { width: 360, height: 780 } });
    check((await page.locator('figure svg').count()) >= 3 && (await sideways(page)) <= 0 && seen.length === 0, `${name}: the page of this pair`, seen.join('\n'));
    await printsAsPromised(page, name);
    await close();
  }
  await otherValues(browser, scenario('standard-small-holes-valved'));
} finally {
  await browser.close();
}
listLooked();
console.log(`1..${count}`);
process.exit(failed > 0 ? 1 : 0);
