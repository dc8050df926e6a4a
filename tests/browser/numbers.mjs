// Numbers and names as the program's text gives them.

/// A name as it may stand on a page: control characters, bidirectional marks, separators of
/// lines and characters that nobody sees are spelled out. The same rule as to_safe_text of
/// present/text.hpp.
export function to_safe_name(name) {
  return name.replace(
      /[\p{Cc}\p{Cf}\u2028\u2029\u034f\u115f\u1160\u17b4\u17b5\u2065\u3164\uffa0\u{e0000}-\u{e007f}]/gu,
      (mark) => `<U+${mark.codePointAt(0).toString(16).toUpperCase().padStart(4, '0')}>`);
}

/// Dial settings to 0.01 % with no zeros at the end, doses to 0.1 or, under 1, to 0.01, peaks to
/// 1 or, under 10, to 0.1.
export const most_digits = {
  dial: (value) => {
    const text = value.toFixed(2).replace(/\.?0+$/, '');
    return text.includes('.') ? text.length - text.indexOf('.') - 1 : 0;
  },
  dose: (value) => (value < 0.995 ? 2 : 1),
  peak: (value) => (value < 9.95 ? 1 : 0),
};

/// Whether the first number of a text is `value`, rounded as the program's text rounds a
/// quantity of this kind. Half of the last digit is allowed, since ties may go either way.
export function shows(text, value, kind) {
  const found = /-?\d+(?:\.(\d+))?/.exec(text ?? '');
  if (!found) return false;
  const digits = (found[1] ?? '').length;
  if (digits !== most_digits[kind](value)) return false;
  return Math.abs(Number(found[0]) - value) <= 0.5 * 10 ** -digits + 1e-9;
}
