// What a page does under a hand: arrow keys, a mouse, a finger.
import {compare_panel, day_of_panel, read_panel} from './check_content.mjs';
import {look_at} from './browser.mjs';

const charts = {
  'first dial': '#dials figure.chart >> nth=0',
  'last group': '#groups figure.chart >> nth=-1',
};

/// The part of a chart that takes the keys: the figure, or something in it.
function find_focusable(figure) {
  return figure.locator('xpath=descendant-or-self::*[@tabindex="0"]').first();
}

/// Reads the panel, whose numbers must be those of its day; a finding where it is not day
/// `expected`.
async function check_day(page, plan, expected, after, findings) {
  const panel = await read_panel(page);
  findings.push(...compare_panel(panel, plan));
  const number = day_of_panel(panel, plan);
  if (number !== expected) {
    findings.push(`after ${after} the panel shows "${panel.date}" and not ` +
        plan.days[expected].date);
  }
}

/// Home, a walk to the right, End and a walk to the left.
///   steps: how far; at most to the other end
async function walk(page, plan, selector, steps) {
  const findings = [];
  const last = plan.days.length - 1;
  const far = Math.min(steps, last);
  const taker = find_focusable(page.locator(selector));
  if (await taker.count() === 0) return [`the chart ${selector} does not take the keys`];
  await taker.focus();
  await page.keyboard.press('Home');
  await check_day(page, plan, 0, 'Home', findings);
  for (let day = 1; day <= far && !findings.length; ++day) {
    await page.keyboard.press('ArrowRight');
    await check_day(page, plan, day, `${day} times ArrowRight`, findings);
  }
  await page.keyboard.press('End');
  await check_day(page, plan, last, 'End', findings);
  await page.keyboard.press('ArrowRight');
  await check_day(page, plan, last, 'ArrowRight at the end', findings);
  for (let day = last - 1; day >= last - Math.min(far, 10) && !findings.length; --day) {
    await page.keyboard.press('ArrowLeft');
    await check_day(page, plan, day, `ArrowLeft from ${plan.days[day + 1].date}`, findings);
  }
  await page.keyboard.press('Home');
  await page.keyboard.press('ArrowLeft');
  await check_day(page, plan, 0, 'ArrowLeft at the start', findings);
  return findings;
}

/// Keys alone must lead to a chart, and show where they are.
async function reach_by_tab(page) {
  const most = 40;
  for (let presses = 0; presses < most; ++presses) {
    await page.keyboard.press('Tab');
    const state = await page.evaluate(() => {
      const element = document.activeElement;
      if (!element?.closest('figure.chart')) return null;
      const style = getComputedStyle(element);
      return {has_ring: (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 1) ||
                        style.boxShadow !== 'none'};
    });
    if (state) return state.has_ring ? [] : ['the chart that has the keys does not show it'];
  }
  return [`after ${most} times Tab no chart has the keys`];
}

/// Points at two places of a chart and expects the panel to follow, in proportion.
///   point: (x, y) => points there
async function point_at(page, plan, selector, label, point) {
  const findings = [];
  const drawing = page.locator(selector).locator('svg[role=img]').first();
  const days = [];
  for (const share of [0.3, 0.8]) {
    await drawing.scrollIntoViewIfNeeded();
    const box = await drawing.boundingBox();
    await point(box.x + share * box.width, box.y + 0.5 * box.height);
    const panel = await read_panel(page);
    findings.push(...compare_panel(panel, plan));
    days.push(day_of_panel(panel, plan));
  }
  // Half of a chart's width, of which the days take the greater part.
  const share = (days[1] - days[0]) / (plan.days.length - 1);
  if (share < 0.4 || share > 0.8) {
    findings.push(`${label}: the panel went from day ${days[0]} to ${days[1]} of ` +
        `${plan.days.length} over half the chart`);
  }
  return findings;
}

/// One case is walked from end to end.
const steps_of = (page_case) => (page_case.is_walked_through ? Infinity : 8);

export const use_checks = [
  {
    name: 'keys',
    run: ({browser}, page_case) => look_at(browser, page_case.report, {}, async (page) => {
      const findings = await reach_by_tab(page);
      findings.push(...await walk(page, page_case.plan, charts['first dial'],
                                  steps_of(page_case)));
      findings.push(...await walk(page, page_case.plan, charts['last group'], 8));
      return findings;
    }),
  },
  {
    name: 'mouse',
    run: ({browser}, page_case) => look_at(browser, page_case.report, {}, async (page) => {
      const findings = [];
      for (const [label, selector] of Object.entries(charts)) {
        findings.push(...await point_at(page, page_case.plan, selector, `mouse on the ${label}`,
                                        (x, y) => page.mouse.move(x, y)));
      }
      return findings;
    }),
  },
  {
    name: 'finger',
    run: ({browser}, page_case) => look_at(
        browser, page_case.report,
        {viewport: {width: 360, height: 740}, hasTouch: true, isMobile: true}, async (page) => {
          const findings = [];
          for (const [label, selector] of Object.entries(charts)) {
            findings.push(...await point_at(page, page_case.plan, selector, `tap on the ${label}`,
                                            (x, y) => page.touchscreen.tap(x, y)));
          }
          const width = await page.evaluate(() => window.innerWidth);
          if (width !== 360) findings.push(`a phone of 360 px is laid out for ${width}`);
          return findings;
        }),
  },
];
