// Each check is tried on copies of a good page with faults, each of which it must find. A check
// that finds nothing here would find nothing anywhere.
import {writeFileSync} from 'node:fs';
import {dirname, join} from 'node:path';
import {pathToFileURL} from 'node:url';

/// Without its last day the data is not compared day by day.
const hides_others = 'a day in the data that is missing';

/// A fault: what it is, the check that must find it, what it must say, and how the fault is made
/// (runs in the page, whose own scripts are off; what it returns is not used).
const faults = [
  ['a message on the console', 'content', /console log: noise/, () => {
    document.body.append(make_script('console.log("noise")'));
  }],
  ['an error in a script', 'content', /page error: fault/, () => {
    document.body.append(make_script('throw new Error("fault")'));
  }],
  ['a picture from outside', 'content', /request: https:\/\/example\.org/, () => {
    document.body.append(Object.assign(document.createElement('img'),
                                       {src: 'https://example.org/p.png', alt: 'a picture'}));
  }],
  ['a script that asks the network when a key is pressed', 'keys', /request: https/, () => {
    document.body.append(make_script(
        'addEventListener("keydown", () => void fetch("https://example.org/").catch(() => 0))'));
  }],
  ['a picture from outside once hovered', 'content', /a style has/, () => {
    document.head.append(make_style('#today:hover { background: url(https://example.org/p.png) }'));
  }],
  ['a mark that turns the text around', 'content', /a mark stands/, () => {
    document.querySelector('#made').append('\u202ename');
  }],
  ['a name that runs', 'content', /a name ran/, () => {
    document.body.append(make_script('window.names_ran = 1'));
  }],
  ['a page too large', 'size', /is to have under/, () => {
    document.body.append(document.createComment('x'.repeat(300000)));
  }],
  ['something too wide', 'widths', /phone: the page is/, () => {
    const wide = document.createElement('div');
    wide.style.width = '400px';
    document.querySelector('main, body').append(wide);
    wide.append('wide');
  }],
  ['text cut off', 'widths', /phone: .* is cut off by/, () => {
    const narrow = document.createElement('p');
    narrow.style = 'width: 3em; overflow: hidden; white-space: nowrap; text-overflow: ellipsis';
    narrow.append('a sentence that is longer than that');
    document.querySelector('#made').append(narrow);
  }],
  ['text that leaves its chart', 'widths', /is cut off by svg/, () => {
    const text = document.querySelector('#dials svg text').cloneNode(false);
    text.setAttribute('x', document.querySelector('#dials svg').viewBox.baseVal.width - 2);
    text.style.textAnchor = 'start';
    text.append('a word');
    document.querySelector('#dials svg').style.overflow = 'hidden';
    document.querySelector('#dials svg').append(text);
  }],
  ['text on text in a chart', 'widths', /stands on/, () => {
    const text = document.querySelector('#dials svg text');
    text.after(text.cloneNode(true));
  }],
  ['text too small', 'widths', /px high/, () => {
    document.querySelector('#made').style.fontSize = '7px';
  }],
  ['an id that is there twice', 'html', /no-dup-id/, () => {
    document.querySelector('#made').append(
        Object.assign(document.createElement('p'), {id: 'day', textContent: 'again'}));
  }],
  ['pale text', 'barriers', /^light: axe color-contrast/, () => {
    document.head.append(make_style(
        '@media (prefers-color-scheme: light) { #made, #made * { color: #aaa !important } }'));
  }],
  ['dark text on dark', 'barriers', /^dark: axe color-contrast/, () => {
    document.head.append(make_style(
        '@media (prefers-color-scheme: dark) { #made, #made * { color: #444 !important } }'));
  }],
  ['pale text in a chart', 'barriers', /^light: ".*" has a contrast/, () => {
    document.head.append(make_style('svg text, svg tspan { fill: #aaa !important }'));
  }],
  ['a chart without a name', 'barriers', /axe (svg-img-alt|role-img-alt)/, () => {
    const svg = document.querySelector('#dials svg');
    for (const name of ['aria-label', 'aria-labelledby', 'title']) svg.removeAttribute(name);
    svg.querySelectorAll('title, desc').forEach((text) => text.remove());
  }],
  ['too many sheets of paper', 'paper', /A4: \d+ pages/, () => {
    for (let sheet = 0; sheet < 4; ++sheet) {
      const page = Object.assign(document.createElement('p'), {textContent: 'one more'});
      page.style.breakBefore = 'page';
      document.body.append(page);
    }
  }],
  ['dark paper', 'paper', /is printed in rgb\(17/, () => {
    document.head.append(make_style('@media print { body { background: #111 !important } }'));
  }],
  ['text cut off on paper', 'paper', /is cut off by/, () => {
    const narrow = document.createElement('p');
    narrow.style = 'width: 3em; overflow-x: auto; white-space: nowrap';
    narrow.append('a sentence that is longer than that');
    document.querySelector('#made').append(narrow);
  }],
  ['another setting for today', 'content', /^today: /, () => {
    document.querySelector('[data-today-light]').textContent = '99 %';
  }],
  ['a number of the day that is wrong', 'content without scripts', /day panel of .* dose/, () => {
    document.querySelector('#day [data-day-group] .dose').textContent = '77.7';
  }],
  ['a dial of the day that is wrong', 'content without scripts', /day panel of .* %/, () => {
    document.querySelector('#day [data-day-light]').textContent = '77 %';
  }],
  ['a dose in the data that is wrong', 'content', /plan-data.*dose/, () => change_data((days) => {
    days[3].groups[0].dose *= 1 + 1e-12;
  })],
  [hides_others, 'content', /plan-data has/, () => change_data((days) => {
    days.pop();
  })],
  ['a dose under the arrow keys that is wrong', 'keys', /the dose of/, () => change_data((days) => {
    days[3].groups[0].dose += 0.1;
  })],
  ['a step with another dial', 'content', /steps: row of/, () => {
    document.querySelector('#steps-table tr[data-date] td[data-light]').textContent = '3 %';
  }],
  ['a dial that is drawn as tiny stairs', 'content', /dials: a line has \d+ pieces/, () => {
    const line = document.querySelector('#dials path.dial-line');
    line.setAttribute('d', `M38 90${'h1v-.1'.repeat(99)}`);
  }],
  ['a step that is missing', 'content', /steps: the rows are of/, () => {
    [...document.querySelectorAll('#steps-table tr[data-date]')].at(-1).remove();
  }],
  ['sections in another order', 'content', /^sections: /, () => {
    document.querySelector('#steps').after(document.querySelector('#tank'));
  }],
  ['a group without its chart', 'content', /^groups: /, () => {
    document.querySelector('#groups figure.chart').remove();
  }],
  ['a section that needs scripts', 'content without scripts', /sections: steps is empty/, () => {
    document.querySelector('#steps').style.display = 'none';
    document.body.append(make_script('document.querySelector("#steps").style.display = ""'));
  }],
  ['keys that do nothing', 'keys', /after .* the panel shows/, () => {
    document.head.append(make_script(
        'addEventListener("keydown", (e) => e.key === "Tab" || e.stopImmediatePropagation(), 1)'));
  }],
  ['a chart that does not show that it has the keys', 'keys', /does not show it/, () => {
    document.head.append(make_style(
        '*, *:focus { outline: none !important; box-shadow: none !important }'));
  }],
  ['charts that keys cannot reach', 'keys', /no chart has the keys/, () => {
    document.body.append(make_script(
        'document.querySelectorAll("figure.chart, figure.chart *").forEach(' +
        '(e) => e.hasAttribute("tabindex") && e.setAttribute("tabindex", "-1"))'));
  }],
  ['a mouse that does nothing', 'mouse', /mouse on the first dial/, () => stop_pointers()],
  ['a finger that does nothing', 'finger', /tap on the last group/, () => stop_pointers()],
  ['a page that is not made for phones', 'finger', /is laid out for/, () => {
    document.querySelector('meta[name=viewport]').remove();
  }],
  ['a second sheet', 'sheet: paper', /Letter: 2 pages/, () => {
    const page = Object.assign(document.createElement('p'), {textContent: 'one more'});
    page.style.breakBefore = 'page';
    document.body.append(page);
  }],
  ['a step that the sheet leaves out', 'sheet: content', /sheet: no row of/, () => {
    const rows = [...document.querySelectorAll('tr')];
    rows.find((row) => /\d{4}-\d\d-\d\d/.test(row.innerText)).remove();
  }],
  ['a step with another dial on the sheet', 'sheet: content', /sheet: the row of/, () => {
    const rows = [...document.querySelectorAll('tr')].filter((row) => /\d %/.test(row.innerText));
    rows[1].innerHTML = rows[1].innerHTML.replace(/\d+ %/, '99 %');
  }],
  ['a group without a column on the sheet', 'sheet: content', /sheet: .* has no column/, () => {
    [...document.querySelectorAll('th')].find((head) => head.innerText === 'chalice').remove();
  }],
  ['an id that is twice on the sheet', 'sheet: html', /no-dup-id/, () => {
    for (let time = 0; time < 2; ++time) {
      document.body.append(
          Object.assign(document.createElement('p'), {id: 'one', textContent: 'x'}));
    }
  }],
  ['a sheet too wide', 'sheet: widths', /phone: the page is/, () => {
    document.body.append(Object.assign(document.createElement('div'), {textContent: 'wide'}));
    document.body.lastChild.style.width = '400px';
  }],
  ['a sheet with a table that has no heads', 'sheet: barriers', /axe/, () => {
    document.documentElement.removeAttribute('lang');
  }],
];

/// Runs in the page: what the faults share. A policy of the page that keeps faults out is taken
/// off, since it is the checks that are tried here.
function add_fault_makers() {
  document.querySelector('meta[http-equiv="Content-Security-Policy"]')?.remove();
  window.make_script = (code) =>
      Object.assign(document.createElement('script'), {textContent: code});
  window.make_style = (rules) =>
      Object.assign(document.createElement('style'), {textContent: rules});
  window.change_data = (change) => {
    const data = document.querySelector('#plan-data');
    const plan = JSON.parse(data.textContent);
    change(plan.days);
    data.textContent = JSON.stringify(plan).replaceAll('<', '\\u003c');
  };
  window.stop_pointers = () => {
    const kinds = ['pointermove', 'pointerdown', 'pointerup', 'pointerenter', 'pointerover',
                   'mousemove', 'mouseover', 'mouseenter', 'mousedown', 'mouseup', 'click',
                   'touchstart', 'touchmove', 'touchend'];
    document.head.append(window.make_script(
        `${JSON.stringify(kinds)}.forEach((kind) => ` +
        'addEventListener(kind, (e) => e.stopImmediatePropagation(), true))'));
  };
}

/// The file's page with faults in it.
async function make_copy(browser, file, number, makers) {
  const context = await browser.newContext({javaScriptEnabled: false});
  try {
    const page = await context.newPage();
    await page.goto(pathToFileURL(file).href);
    await page.evaluate(add_fault_makers);
    for (const make_fault of makers) {
      const before = await page.content();
      await page.evaluate(make_fault);
      if (await page.content() === before) throw new Error('a fault changed nothing');
    }
    const copy = join(dirname(file), `broken-${number}.html`);
    writeFileSync(copy, await page.content());
    return copy;
  } finally {
    await context.close();
  }
}

/// Faults in sets, each for one copy: those of one check together, where none hides another. What
/// keys and pointers do stops at the first thing that is wrong, so their faults stand alone.
function list_sets(checks) {
  const sets = [];
  for (const check of checks) {
    const of_check = faults.filter(([, name]) => name === check.name);
    const alone = of_check.filter(([what, name]) =>
        ['keys', 'mouse', 'finger'].includes(name) || what === hides_others);
    const together = of_check.filter((fault) => !alone.includes(fault));
    if (together.length) sets.push({check, set: together});
    for (const fault of alone) sets.push({check, set: [fault]});
  }
  return sets;
}

/// The tries, one for each set of faults: {name, run: () => findings}, where a finding is a fault
/// that its check did not see. Every check must have a fault of its own.
///   healthy: (name of a check) => what it said of the page without faults
export function list_tries(tools, checks, page_case, healthy) {
  const untried = checks.filter((check) => !faults.some(([, name]) => name === check.name));
  const unknown = faults.filter(([, name]) => !checks.some((check) => check.name === name));
  const try_set = async (check, set, number) => {
    const kind = check.is_of_sheet ? 'sheet' : 'report';
    const makers = set.map((fault) => fault[3]);
    const copy = await make_copy(tools.browser, page_case[kind], number, makers);
    const found = await check.run(tools, {...page_case, [kind]: copy, is_walked_through: false});
    return set.flatMap(([what, , pattern]) => {
      if (healthy(check.name).some((finding) => pattern.test(finding))) {
        return [`${what}: the page without the fault has it, too: ${pattern}`];
      }
      if (found.some((finding) => pattern.test(finding))) return [];
      return [`${what} was not seen; what was: ${found.slice(0, 5).join('; ') || 'nothing'}`];
    });
  };
  return [
    {
      name: 'every check has a fault, and every fault a check',
      run: async () => [...untried.map((check) => `no fault is for ${check.name}`),
                        ...unknown.map(([what, name]) => `${what}: there is no check ${name}`)],
    },
    ...list_sets(checks).map(({check, set}, number) => ({
      name: `broken copy for "${check.name}"`,
      run: () => try_set(check, set, number),
    })),
  ];
}

export const fault_count = faults.length;
