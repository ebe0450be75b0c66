// Paths of SVG from points, thinned to about one point a pixel; a null breaks the line.

export interface Point {
    x: number;
    y: number | null;
}

export function line_path(points: Point[], least_px = 0.8): string {
    const parts: string[] = [];
    let pen = false;
    let x_drawn = Number.NEGATIVE_INFINITY;
    points.forEach((point, i) => {
        if (point.y === null || !Number.isFinite(point.y)) {
            pen = false;
            return;
        }
        const last = i === points.length - 1 || points[i + 1]?.y === null;
        if (pen && !last && point.x - x_drawn < least_px) return;
        parts.push(`${pen ? "L" : "M"}${point.x.toFixed(1)} ${point.y.toFixed(1)}`);
        pen = true;
        x_drawn = point.x;
    });
    return parts.join("");
}

/** A closed area between an upper and a lower edge of the same x. */
export function area_path(edges: { x: number; upper: number; lower: number }[]): string {
    if (edges.length < 2) return "";
    const there = edges.map((edge) => `${edge.x.toFixed(1)} ${edge.upper.toFixed(1)}`);
    const back = [...edges].reverse().map((edge) => `${edge.x.toFixed(1)} ${edge.lower.toFixed(1)}`);
    return `M${[...there, ...back].join("L")}Z`;
}
