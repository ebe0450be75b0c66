// Which of a row of labels can be written without touching: the ones that matter most first.

export interface Label {
    x: number; // middle, px
    width: number; // px
    rank: number; // smaller is written first
}

/** True for each label that may be written, `space` px apart and inside low..high. */
export function labels_that_fit(labels: Label[], space: number, low: number, high: number): boolean[] {
    const shown = labels.map(() => false);
    const order = labels
        .map((_, i) => i)
        .sort((a, b) => (labels[a] as Label).rank - (labels[b] as Label).rank || a - b);
    const taken: [number, number][] = [];
    for (const i of order) {
        const { x, width } = labels[i] as Label;
        const from = x - width / 2;
        const to = x + width / 2;
        if (from < low || to > high) continue;
        if (taken.some(([a, b]) => from < b + space && to > a - space)) continue;
        taken.push([from, to]);
        shown[i] = true;
    }
    return shown;
}
