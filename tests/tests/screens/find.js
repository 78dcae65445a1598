// What is shown with this role and name. Arguments: role, name, whether the whole name has to fit.
// Roles are those of WAI-ARIA 1.2 for the elements that the screens use; names are computed from
// aria-label, the label, or the words inside, in this order.
const [role, name, whole] = arguments;
const SELECTORS = {
  button: 'button, [role="button"], summary',
  link: 'a[href]',
  textbox: 'input[type="text"], input[type="password"], input:not([type]), textarea',
  radio: 'input[type="radio"]',
  combobox: 'select',
  file: 'input[type="file"]',
  heading: 'h1, h2, h3, h4',
  status: 'output, [role="status"]',
  timer: '[role="timer"]',
};
const line = (text) => text.replace(/[\s\u00a0\u2009\u202f\u200b]+/g, ' ').trim();
const inside = (element) => {
  let text = '';
  for (const node of element.childNodes) {
    if (node.nodeType === Node.TEXT_NODE) text += node.data;
    else if (node.nodeType === Node.ELEMENT_NODE && node.getAttribute('aria-hidden') !== 'true') {
      const inline = getComputedStyle(node).display.startsWith('inline');
      text += inline ? inside(node) : ` ${inside(node)} `;
    }
  }
  return text;
};
const nameOf = (element) => {
  const said = element.getAttribute('aria-label');
  if (said) return line(said);
  const label = element.labels?.[0];
  if (label) return line(inside(label));
  return line(inside(element));
};
const shown = (element) => {
  if (role === 'file') return true;
  const at = role === 'radio' ? (element.closest('label') ?? element) : element;
  const box = at.getBoundingClientRect();
  return box.width > 0 && box.height > 0 && at.checkVisibility({ visibilityProperty: true });
};
const wanted = line(name);
return [...document.querySelectorAll(SELECTORS[role] ?? `[role="${role}"]`)]
  .filter((element) => {
    const given = nameOf(element);
    return (whole ? given === wanted : given.startsWith(wanted)) && shown(element);
  })
  // The finger lands on the words beside a round mark.
  .map((element) => (role === 'radio' ? (element.closest('label') ?? element) : element));
