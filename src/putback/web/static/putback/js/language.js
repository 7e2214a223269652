// On every page: where it came in another language than English, what scripts put into it is told
// again in that language as well. English pages load nothing of this.

if (document.documentElement.lang !== "en") import("./tell.js");
