/**
 * pdf.js as tests read PDFs with it. As it loads it asks for an error's stack, for which Node would read the maps of its
 * sources (0.7 s): none is kept of what is loaded here.
 */
process.setSourceMapsEnabled(false);
// @ts-expect-error: it comes without types
await import('pdfjs-dist/legacy/build/pdf.worker.mjs');
export const { getDocument } = await import('pdfjs-dist/legacy/build/pdf.mjs');
process.setSourceMapsEnabled(true);
