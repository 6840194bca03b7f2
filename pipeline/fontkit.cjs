/**
 * Fonts are read by few commands, and what reads them takes a tenth of a second to load: so it is loaded when it is first
 * asked for. Of CommonJS, which alone can load without being waited for.
 */
exports.fontkit = () => require('fontkit');
