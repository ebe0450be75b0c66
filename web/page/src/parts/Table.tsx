// A table that a phone shows as blocks, one a row, each value under its column's name.
import type { ComponentChildren } from "preact";

export interface TableRow {
    key: string;
    cells: ComponentChildren[]; // the first names the row
    stand?: string;
}

export function Table({ columns, rows }: { columns: string[]; rows: TableRow[] }) {
    return (
        <table>
            <thead>
                <tr>
                    {columns.map((name) => (
                        <th key={name} scope="col">
                            {name}
                        </th>
                    ))}
                </tr>
            </thead>
            <tbody>
                {rows.map(({ key, cells: [first, ...others], stand }) => (
                    <tr key={key} data-stand={stand}>
                        <th scope="row">{first}</th>
                        {others.map((cell, i) => (
                            <td key={columns[i + 1]} data-name={columns[i + 1]}>
                                {cell}
                            </td>
                        ))}
                    </tr>
                ))}
            </tbody>
        </table>
    );
}
