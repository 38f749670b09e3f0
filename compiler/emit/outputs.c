/* Which outputs there are. A new one is one row here. */
#include "compiler/emit/emit.h"

#include "compiler/emit/json.h"

static void steps_fill_rows(struct buffer *b, const struct step_table *t)
{
    text_steps(b, t, TEXT_WIDTH);
}

static void steps_fill_sizes(struct buffer *b, const struct step_table *t)
{
    text_sizes(b, t, TEXT_WIDTH);
}

/* A4 after ISO 216; Letter after ANSI/ASME Y14.1, 8.5 in by 11 in. */
const struct paper_size paper_sizes[PAPER_FORMAT_COUNT] = {
    [PAPER_A4] = {"a4", 210 / 25.4 * 72, 297 / 25.4 * 72},
    [PAPER_LETTER] = {"letter", 612, 792},
};

const struct output output_table[] = {
    {"traveller", "traveller.pdf", "shop traveller", NULL, READER_PAPER, PAGE_TRAVELLER, false, false},
    {"tool-sheet", "tool-sheet.pdf", "what the toolroom makes", NULL, READER_PAPER, PAGE_TOOL_SHEET, false, false},
    {"inspection", "inspection.pdf", "inspection sheet, first and last piece", NULL, READER_PAPER, PAGE_INSPECTION,
     false, false},
    {"report", "report.html", "report for a screen, everything in one file", NULL, READER_PAPER, PAGE_REPORT, true,
     true},
    {"flow", "flow.svg", "flow diagram", NULL, READER_PAPER, PAGE_FLOW_SVG, false, false},
    {"flow-dot", "flow.dot", "flow diagram as a graph", NULL, READER_PAPER, PAGE_FLOW_DOT, false, false},
    {"temperatures", "temperatures.svg", "temperature of piece and tools over time", NULL, READER_PAPER,
     PAGE_TEMPERATURES_SVG, false, false},
    {"force", "force.svg", "force over the stroke", NULL, READER_PAPER, PAGE_FORCE_SVG, false, false},
    {"moves", "size-moves.svg", "how tool and part grow and shrink", NULL, READER_PAPER, PAGE_MOVES_SVG, false, false},
    {"margins", "margins.svg", "what is left of every limit", NULL, READER_PAPER, PAGE_MARGINS_SVG, false, false},
    {"steps", "steps.txt", "step table and limits, aligned text", steps_fill_rows, READER_SCREEN, PAGE_NONE, false,
     false},
    {"steps-csv", "steps.csv", "step table for a spreadsheet", csv_steps, READER_PROGRAM, PAGE_NONE, false, false},
    {"steps-json", "steps.json", "everything, for programs", json_steps, READER_PROGRAM, PAGE_NONE, true, true},
    {"sizes", "tool-sizes.txt", "tool sizes, aligned text", steps_fill_sizes, READER_SCREEN, PAGE_NONE, true, false},
    {"sizes-csv", "tool-sizes.csv", "tool sizes for a spreadsheet", csv_sizes, READER_PROGRAM, PAGE_NONE, false, false},
    {"limits-csv", "limits.csv", "limits and verdicts for a spreadsheet", csv_limits, READER_PROGRAM, PAGE_NONE, false,
     false},
};
const uint32_t output_count = sizeof output_table / sizeof output_table[0];
