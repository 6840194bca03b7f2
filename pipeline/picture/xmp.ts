/**
 * XMP packet of a picture (ISO 16684-1): what it shows, who made it, and that it is a rendering.
 *
 * Properties: Dublin Core title, creator, rights; xmpRights Marked, WebStatement; photoshop:Credit; and the IPTC
 * Photo Metadata Standard's AltTextAccessibility and DigitalSourceType, whose value is an address of the IPTC's
 * vocabulary (cv.iptc.org/newscodes/digitalsourcetype). No date and no software name, so equal inputs give equal bytes.
 */
import type { CreditPlan } from '../plan/plan.ts';

export const DIGITAL_SOURCE = 'http://cv.iptc.org/newscodes/digitalsourcetype/';

export interface PictureMetadata {
  title: string;
  /** what the picture shows, for those who cannot see it */
  alt: string;
  credit: CreditPlan;
}

const NAMESPACES = {
  dc: 'http://purl.org/dc/elements/1.1/',
  xmpRights: 'http://ns.adobe.com/xap/1.0/rights/',
  photoshop: 'http://ns.adobe.com/photoshop/1.0/',
  Iptc4xmpCore: 'http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/',
  Iptc4xmpExt: 'http://iptc.org/std/Iptc4xmpExt/2008-02-29/',
} as const;

export function xmpPacket({ title, alt, credit }: PictureMetadata): string {
  const { creator, copyright, line, website, source } = credit;
  const parts = [
    languages('dc:title', title),
    creator && `<dc:creator><rdf:Seq><rdf:li>${xml(creator)}</rdf:li></rdf:Seq></dc:creator>`,
    copyright && languages('dc:rights', copyright),
    copyright && plain('xmpRights:Marked', 'True'),
    website && plain('xmpRights:WebStatement', website),
    line && plain('photoshop:Credit', line),
    languages('Iptc4xmpCore:AltTextAccessibility', alt),
    plain('Iptc4xmpExt:DigitalSourceType', DIGITAL_SOURCE + source),
  ];
  const names = Object.entries(NAMESPACES).map(([prefix, uri]) => ` xmlns:${prefix}="${uri}"`);
  return (
    '<?xpacket begin="\uFEFF" id="W5M0MpCehiHzreSzNTczkc9d"?>' +
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">' +
    `<rdf:Description rdf:about=""${names.join('')}>${parts.filter(Boolean).join('')}</rdf:Description>` +
    '</rdf:RDF></x:xmpmeta><?xpacket end="r"?>'
  );
}

function plain(name: string, text: string): string {
  return `<${name}>${xml(text)}</${name}>`;
}

/** A language alternative with its default only: the words are the catalogue's, whatever their language. */
function languages(name: string, text: string): string {
  return `<${name}><rdf:Alt><rdf:li xml:lang="x-default">${xml(text)}</rdf:li></rdf:Alt></${name}>`;
}

/** Characters that XML 1.0 cannot hold are left out. */
function xml(text: string): string {
  const entities: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
  return text
    .replace(/[^\t\n\r\u{20}-\u{d7ff}\u{e000}-\u{fffd}\u{10000}-\u{10ffff}]/gu, '')
    .replace(/[&<>"]/g, (c) => entities[c]);
}
