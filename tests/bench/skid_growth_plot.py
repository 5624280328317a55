#!/usr/bin/env python3
"""Reads the tables of bench_skid_growth from standard input and writes them as one SVG drawing to standard output.

One small chart a table: cost of a step against size, with the straight line through the first and the middle point, dashed.
"""
import sys

WIDTH, HEIGHT, LEFT, BOTTOM, TOP = 280, 220, 52, 40, 30


def read_tables(lines):
    tables = []
    for line in lines:
        if not line.startswith("|"):
            continue
        fields = [field.strip() for field in line.strip().strip("|").split("|")]
        if "us/step" in fields:
            tables.append((fields[0], []))
        else:
            tables[-1][1].append((float(fields[0]), float(fields[2])))
    return tables


def nice(limit):
    """A round number not below the limit."""
    power = 1.0
    while power > limit:
        power /= 10
    while power * 10 < limit:
        power *= 10
    return next(power * factor for factor in (1, 2, 2.5, 5, 10) if power * factor >= limit)


def chart(title, points, left):
    (n0, c0), (n1, c1) = points[0], points[len(points) // 2]
    slope = (c1 - c0) / (n1 - n0)
    most_n = nice(max(n for n, _ in points))
    most_c = nice(max(max(c for _, c in points), c0 + slope * (points[-1][0] - n0)))
    x = lambda n: left + LEFT + n / most_n * (WIDTH - LEFT - 12)
    y = lambda c: HEIGHT - BOTTOM - c / most_c * (HEIGHT - BOTTOM - TOP)
    out = [f'<text x="{left + LEFT}" y="18" font-weight="bold">{title}</text>']
    for part in range(5):
        n, c = most_n * part / 4, most_c * part / 4
        out.append(f'<line x1="{x(0):.1f}" y1="{y(c):.1f}" x2="{x(most_n):.1f}" y2="{y(c):.1f}" stroke="#ddd"/>')
        out.append(f'<text x="{x(0) - 6:.1f}" y="{y(c) + 4:.1f}" text-anchor="end">{c:g}</text>')
        out.append(f'<text x="{x(n):.1f}" y="{HEIGHT - BOTTOM + 16}" text-anchor="middle">{n:g}</text>')
    end = points[-1][0]
    out.append(f'<line x1="{x(n0):.1f}" y1="{y(c0):.1f}" x2="{x(end):.1f}" y2="{y(c0 + slope * (end - n0)):.1f}" '
               'stroke="#999" stroke-dasharray="4 3"/>')
    path = " ".join(f"{x(n):.1f},{y(c):.1f}" for n, c in points)
    out.append(f'<polyline points="{path}" fill="none" stroke="#1b6ca8" stroke-width="2"/>')
    out += [f'<circle cx="{x(n):.1f}" cy="{y(c):.1f}" r="3" fill="#1b6ca8"/>' for n, c in points]
    return "\n".join(out)


def main():
    tables = [table for table in read_tables(sys.stdin) if len(table[1]) > 1]
    if not tables:
        sys.exit("no table on standard input: pipe the output of bench_skid_growth")
    width = WIDTH * len(tables)
    print(f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{HEIGHT}" font-family="sans-serif" '
          'font-size="11">')
    print(f'<rect width="{width}" height="{HEIGHT}" fill="#fff"/>')
    for place, (title, points) in enumerate(tables):
        print(chart(title, points, place * WIDTH))
    print(f'<text x="{width / 2}" y="{HEIGHT - 6}" text-anchor="middle">CPU microseconds a step; dashed: the straight '
          'line through the first and the middle point</text>')
    print("</svg>")


main()
