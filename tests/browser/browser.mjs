// The browser, and pages opened in it so that whatever they say or ask for is written down.
import {createRequire} from 'node:module';
import {readFileSync} from 'node:fs';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';

/// What the checks need from the packages that are installed in `folder`/node_modules.
export function load_packages(folder) {
  const require = createRequire(pathToFileURL(join(resolve(folder), 'package.json')));
  const {HtmlValidate} = require('html-validate');
  return {
    chromium: require('playwright-core').chromium,
    axe_source: readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8'),
    html_rules: new HtmlValidate({
      root: true,
      extends: ['html-validate:recommended', 'html-validate:a11y'],
    }),
  };
}

export function start_browser(chromium, executable) {
  return chromium.launch({
    executablePath: executable,
    headless: true,
    // As root, as in a container, there is no sandbox; the rest keeps the browser itself quiet.
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
           '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });
}

/// Writes down messages, errors and requests of a page. No request but the one for the page
/// itself is let through.
async function watch(context, page, address) {
  const noise = [];
  page.on('console', (message) => noise.push(`console ${message.type()}: ${message.text()}`));
  page.on('pageerror', (error) => noise.push(`page error: ${error.message}`));
  page.on('crash', () => noise.push('the page crashed'));
  page.on('popup', () => noise.push('the page opened a window'));
  page.on('dialog', (dialog) => {
    noise.push(`the page opened a dialog: ${dialog.message()}`);
    return dialog.dismiss();
  });
  page.on('websocket', (socket) => noise.push(`socket to ${socket.url()}`));
  page.on('request', (request) => {
    if (request.url() !== address) noise.push(`request: ${request.url().slice(0, 200)}`);
  });
  await context.route((url) => url.href !== address, (route) => route.abort());
  return noise;
}

/// Opens a file, lets `use` look at it, and gives back what `use` found together with everything
/// that the page said or asked for meanwhile.
///   options: of the browser's context (viewport, colorScheme, javaScriptEnabled, hasTouch ...)
///   use: (page) => findings
export async function look_at(browser, file, options, use) {
  const context = await browser.newContext({viewport: {width: 1280, height: 900}, ...options});
  try {
    const page = await context.newPage();
    // Machines that build at the same time are slow; a page that hangs is still noticed.
    page.setDefaultTimeout(60000);
    const address = pathToFileURL(resolve(file)).href;
    const noise = await watch(context, page, address);
    await page.goto(address);
    const findings = await use(page);
    if (await page.evaluate(() => window.names_ran !== undefined)) {
      findings.push('a name ran as a script');
    }
    return [...findings, ...noise];
  } finally {
    await context.close();
  }
}
