/** What a page must never do to older eyes and unsteady hands, measured in the page itself. */
import axe from "axe-core";
import type { Page } from "playwright-core";

/** The house's own bounds; WCAG 2.2 §2.5.5 has the same target size, at level AAA. */
const TEXT_LEAST_PX = 16;
const TARGET_LEAST_PX = 44;

/** Every finding in words; an empty list is a good page. */
export async function audit(page: Page): Promise<string[]> {
  const measured = await page.evaluate(measure, { text: TEXT_LEAST_PX, target: TARGET_LEAST_PX });
  return [...(await accessibility(page)), ...measured];
}

/** Serious and critical findings of axe-core. */
async function accessibility(page: Page): Promise<string[]> {
  // The page's own content policy forbids a script element; the debugger's connection is not bound by it.
  await page.evaluate(axe.source);
  const results = await page.evaluate(async () => {
    const engine = (window as unknown as { axe: typeof axe }).axe;
    return engine.run(document, { resultTypes: ["violations"] });
  });
  return results.violations
    .filter((found) => found.impact === "serious" || found.impact === "critical")
    .flatMap((found) =>
      found.nodes.map((node) => `${found.id}: ${node.target.join(" ")}: ${node.failureSummary}`),
    );
}

/** Runs in the page: text and targets that are too small, and whether the page scrolls sideways. */
function measure(least: { text: number; target: number }): string[] {
  const findings: string[] = [];
  const describe = (element: Element): string => {
    const words = (element.getAttribute("aria-label") ?? element.textContent ?? "").trim();
    return `<${element.localName} class="${element.getAttribute("class") ?? ""}"> '${words.slice(0, 40)}'`;
  };
  const seen = (element: Element): boolean => {
    const box = element.getBoundingClientRect();
    const shown = element.checkVisibility({ opacityProperty: true, visibilityProperty: true });
    const right = document.documentElement.scrollWidth;
    return shown && box.width > 1 && box.height > 1 && box.right > 0 && box.left < right;
  };
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const told = new Set<Element>();
  for (let node = texts.nextNode(); node !== null; node = texts.nextNode()) {
    const element = node.parentElement;
    if (element === null || (node.textContent ?? "").trim() === "" || told.has(element)) continue;
    if (!seen(element)) continue;
    told.add(element);
    const scale = element instanceof SVGGraphicsElement ? (element.getScreenCTM()?.d ?? 1) : 1;
    const size = parseFloat(getComputedStyle(element).fontSize) * scale;
    if (size < least.text - 0.01) findings.push(`text of ${size} px: ${describe(element)}`);
  }
  const interactive =
    "a[href], button, input, select, textarea, summary, [role=button], [tabindex]:not([tabindex='-1'])";
  for (const element of document.querySelectorAll<HTMLElement>(interactive)) {
    if (element.matches("input[type=hidden]") || !seen(element)) continue;
    // What scrolls is reached by keyboard and is no target; a link in a sentence is part of its line.
    if (element.matches("[role=region][tabindex], :is(p, li, td) > a:not(.button):not(:only-child)")) continue;
    const label = element.matches("[type=radio], [type=checkbox]") ? element.closest("label") : null;
    const box = (label ?? element).getBoundingClientRect();
    if (box.width < least.target - 0.5 || box.height < least.target - 0.5) {
      findings.push(`target of ${box.width} by ${box.height} px: ${describe(element)}`);
    }
  }
  const { scrollWidth, clientWidth } = document.documentElement;
  if (scrollWidth > clientWidth) findings.push(`${scrollWidth} px wide on ${clientWidth} px`);
  return findings;
}
