// The ways to other pages run off a phone's screen: show the one that is here.
document.querySelector(".ways [aria-current]")?.scrollIntoView({ inline: "center", block: "nearest" });
