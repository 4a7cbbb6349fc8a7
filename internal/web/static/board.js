// On the board a piece can also be dragged to the place of another unit. What a
// drag does the taps do as well; without script only they are left.
const squares = document.querySelectorAll(".board a[data-book]");
let held = null;

for (const a of squares) {
	if (!a.dataset.piece) continue;
	a.draggable = true;
	a.addEventListener("dragstart", (e) => {
		held = a;
		e.dataTransfer.effectAllowed = "move";
		e.dataTransfer.setData("text/plain", a.dataset.piece);
		for (const b of squares) b.parentElement.classList.toggle("open", fits(b));
	});
	a.addEventListener("dragend", () => {
		held = null;
		for (const b of squares) b.parentElement.classList.remove("open");
	});
}

for (const b of squares) {
	b.addEventListener("dragover", (e) => {
		if (fits(b)) e.preventDefault();
	});
	b.addEventListener("drop", (e) => {
		if (!fits(b)) return;
		e.preventDefault();
		const to = new URL(location.href);
		const here = `${b.dataset.book}.${b.dataset.pos}=`;
		const there = `${held.dataset.book}.${held.dataset.pos}=`;
		const moves = to.searchParams.getAll("move").filter((m) => !m.startsWith(here) && !m.startsWith(there));
		moves.push(here + held.dataset.piece);
		if (b.dataset.piece) moves.push(there + b.dataset.piece); // a swap
		to.searchParams.delete("move");
		for (const m of moves) to.searchParams.append("move", m);
		for (const k of ["place", "piece", "decided"]) to.searchParams.delete(k);
		to.hash = "tried";
		location.assign(to);
	});
}

// A piece goes to the same position of another unit.
function fits(b) {
	return held && b !== held && b.dataset.pos === held.dataset.pos;
}
