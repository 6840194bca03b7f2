// No browser is fetched while packages install: setup finds one, or says how to get one.
module.exports = { skipDownload: true };
