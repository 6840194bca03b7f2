/** At most so many characters, whole words and a sign that something was left out. */
export function cutAtWord(text: string, most: number): string {
  if (text.length <= most) return text;
  const cut = text.slice(0, most);
  const end = cut.lastIndexOf(' ', most - 2);
  return `${cut.slice(0, end > 0 ? end : most - 1).replace(/[\s,;:]+$/, '')}…`;
}
