/* What the front end says of the slips people make: one fault each, in these words, and where there is a sure mend, the
 * text that it gives. The texts are made up for the test. */
#include "compiler/model/syntax.h"

#include "tests/unit/sample_sources.h"

#include <check.h>

static void parse_text(struct text bytes)
{
    diagnostics_init(&ds, &arena);
    parse(&arena, &sources, source_add(&sources, TEXT("test.recipe"), bytes), &ds);
}

struct slip {
    const char *text;
    enum fault fault;
    const char *message;
    const char *mended; /* by the edit; NULL: there is none */
    const char *help;
};

static const struct slip slips[] = {
    {"let a = 5mm\n", FAULT_missing_space, "a space is missing between number and unit", "let a = 5 mm\n",
     "write '5 mm'"},
    {"let a = 2 mm-3 mm\n", FAULT_missing_space, "a minus sign between two values needs a space on both sides",
     "let a = 2 mm - 3 mm\n", "write 'a - b'; a-b would be a name"},
    {"let a = b -c\n", FAULT_missing_space, "a minus sign between two values needs a space on both sides",
     "let a = b - c\n", "write 'a - b'; a-b would be a name"},
    {"let a = b+c\n", FAULT_missing_space, "a plus sign between two values needs a space on both sides",
     "let a = b + c\n", "write 'a + b'"},
    {"let a = (b +5)\n", FAULT_missing_space, "a plus sign between two values needs a space on both sides",
     "let a = (b + 5)\n", "write 'a + b'"},
    {"let a = b +5 mm\n", FAULT_missing_space, "a plus sign between two values needs a space on both sides",
     "let a = b + 5 mm\n", "write 'a + b'; for a tolerance write both sides, 50 mm +0.10 mm -0.05 mm"},
    {"a b {\n x = 1 mm -0.1 mm +0.2 mm\n}\n", FAULT_syntax, "the plus side of a tolerance stands first", NULL,
     "write each side with its unit, plus first: 50 mm +0.10 mm -0.05 mm"},
    {"a b {\n x = 1 mm +0.1/-0.2 mm\n}\n", FAULT_syntax, "the sides of a tolerance stand apart", NULL,
     "write each side with its unit, plus first: 50 mm +0.10 mm -0.05 mm"},
    {"let a = - 5\n", FAULT_syntax, "a minus sign stands directly in front of what it negates", "let a = -5\n",
     "leave the space behind it out"},
    {"let a = +5\n", FAULT_syntax, "a plus sign in front of a value says nothing", "let a = 5\n", "leave it out"},
    {"tool Die {\n}\n", FAULT_upper_case_name, "'Die' is not written as a name", "tool die {\n}\n",
     "names are lower case, with hyphens inside: write 'die'"},
    {"a b {\n blank_holder = 1\n}\n", FAULT_upper_case_name, "'blank_holder' is not written as a name",
     "a b {\n blank-holder = 1\n}\n", "the parts of a name are joined by hyphens: write 'blank-holder'"},
    {"let gr\303\266\303\237e = 1\n", FAULT_stray_character, "'gr\303\266\303\237e' has letters that names do not have",
     NULL, "names are of a to z, digits and inner hyphens; other letters stand in texts and comments"},
    {"a b {\n x = \"t\n}\n", FAULT_unfinished_text, "this text has no closing quote on its line", NULL,
     "close it with \"; a new line inside a text is written \\n"},
    {"a b {\n x = \"t {y\n}\n", FAULT_unfinished_text, "this text is not finished on its line", NULL,
     "close the expression with } and the text with \"; a brace itself is written \\{"},
    {"a b {\n x = \"t {y\"\n}\n", FAULT_unfinished_text, "this text is not finished on its line", NULL,
     "close the expression with } and the text with \"; a brace itself is written \\{"},
    {"a b {\n x = \"t\\q\"\n}\n", FAULT_unknown_escape, "a text has no escape '\\q'", NULL,
     "it has \\\" for a quote, \\\\ for a backslash, \\{ for a brace, \\n for a new line"},
    {"a b {\n x = \"t {} u\"\n}\n", FAULT_syntax, "the braces of this text are empty", NULL,
     "write a value between them, as {die.temperature}; a brace itself is written \\{"},
    {"a b {\n x = \"t {{y} u\"\n}\n", FAULT_syntax, "a brace cannot stand inside an expression", NULL,
     "a brace in a text is written \\{"},
    {"a b {\n x = 't'\n}\n", FAULT_stray_character, "a single quote does not begin a text", "a b {\n x = \"t\"\n}\n",
     "texts stand in plain double quotes: \"t\""},
    {"a b {\n x = \342\200\234t\342\200\235\n}\n", FAULT_stray_character, "a curly quote does not begin a text",
     "a b {\n x = \"t\"\n}\n", "texts stand in plain double quotes: \"t\""},
    {"let a = 5;\n", FAULT_stray_character, "';' means nothing here", "let a = 5\n",
     "a statement ends with its line; leave the semicolon out"},
    {"let a = 5; let b = 6\n", FAULT_stray_character, "';' means nothing here", NULL,
     "a statement ends with its line; begin a new line here"},
    {"let a = max(1; 2)\n", FAULT_stray_character, "';' means nothing here", "let a = max(1, 2)\n",
     "what stands in parentheses is parted by commas"},
    {"let a = 5 $ 6\n", FAULT_stray_character, "'$' means nothing here", NULL,
     "leave it out, or put it into a text or a comment"},
    {"let a = !b\n", FAULT_stray_character, "'!' means nothing here", NULL, "write 'not', or != for 'is not'"},
    {"let a = b\302\240+ c\n", FAULT_stray_character, "a no-break space means nothing here", "let a = b + c\n",
     "write an ordinary space"},
    {"let a = 5 \303\227 3\n", FAULT_stray_character, "a multiplication cross means nothing here", "let a = 5 * 3\n",
     "write '*'"},
    {"let a = 5 \342\210\222 3\n", FAULT_stray_character, "a typographic minus means nothing here", "let a = 5 - 3\n",
     "write '-'"},
    {"let a = b \342\211\244 c\n", FAULT_stray_character, "a less-or-equal sign means nothing here", "let a = b <= c\n",
     "write '<='"},
    {"let a = b && c\n", FAULT_syntax, "'&&' is not a mark of the language", "let a = b and c\n", "write 'and'"},
    {"let a = b ** 2\n", FAULT_syntax, "'**' is not a mark of the language", "let a = b ^ 2\n", "write '^'"},
    {"let a = b <> c\n", FAULT_syntax, "'<>' is not a mark of the language", "let a = b != c\n", "write '!='"},
    {"let a = b // c\n", FAULT_syntax, "'//' is not a mark of the language", "let a = b # c\n",
     "a comment begins with #"},
    {"a b {\n x = 5 mm +- 1 mm\n}\n", FAULT_syntax, "'+-' is not a mark of the language",
     "a b {\n x = 5 mm +/- 1 mm\n}\n", "write '+/-'"},
    {"a b {\n x = 5 mm -> 6 mm\n}\n", FAULT_syntax, "'->' is not a mark of the language",
     "a b {\n x = 5 mm .. 6 mm\n}\n", "write '..'"},
    {"let a = 0,50\n", FAULT_bad_number, "a comma does not part decimals", "let a = 0.50\n", "write a point: '0.50'"},
    {"let a = 0.5.0\n", FAULT_bad_number, "'0.5.0' is not written as a number", NULL,
     "a number has one point, as in 0.50; digits are grouped by _, as in 3_500; a date is 2026-11-02"},
    {"let a = .5\n", FAULT_bad_number, "'.5' is not written as a number", "let a = 0.5\n",
     "a digit stands in front of the point: 0.5"},
    {"let a = 5.\n", FAULT_bad_number, "'5.' is not written as a number", "let a = 5.0\n",
     "a digit stands behind the point: 5.0"},
    {"let a = 2026-02-30\n", FAULT_bad_date, "there is no such day as 2026-02-30", NULL,
     "dates are written year-month-day, as 2026-11-02"},
    {"let a = 2026-2-3\n", FAULT_bad_date, "'2026-2-3' is not written as a date", "let a = 2026-02-03\n",
     "dates are written year-month-day, as 2026-11-02"},
    {"a b {\n x : 1\n}\n", FAULT_syntax, "a value is stated with '=', not with ':'", "a b {\n x = 1\n}\n", "write '='"},
    {"a b {\n x := 1\n}\n", FAULT_syntax, "a value is stated with '=', not with ':='", "a b {\n x = 1\n}\n",
     "write '='"},
    {"a b {\n x == 1\n}\n", FAULT_syntax, "a value is stated with '=', not with '=='", "a b {\n x = 1\n}\n",
     "write '='"},
    {"a b {\n x 1\n}\n", FAULT_syntax, "'=' is missing behind 'x'", "a b {\n x = 1\n}\n",
     "a fact is written 'NAME = VALUE'"},
    {"a b {\n x y\n}\n", FAULT_syntax, "'=' is missing behind 'x'", "a b {\n x = y\n}\n",
     "a fact is written 'NAME = VALUE'"},
    {"a b {\n x\n}\n", FAULT_syntax, "'x' has no value", NULL, "a fact is written 'NAME = VALUE'"},
    {"let a 5\n", FAULT_syntax, "'=' is missing behind 'a'", "let a = 5\n", "a fact is written 'NAME = VALUE'"},
    {"a b {\n x = \n}\n", FAULT_syntax, "a value is missing behind '='", NULL,
     "write the value behind '=', or leave the line out"},
    {"let a =\nlet b = 2\n", FAULT_syntax, "a value is missing behind '='", NULL,
     "write the value behind '=', or leave the line out"},
    {"a b {\n x = \n y = 1\n}\n", FAULT_syntax, "a value is missing behind '='", NULL,
     "write the value behind '=', or leave the line out"},
    {"let a = 1 +\nlet b = 2\n", FAULT_syntax, "a value is missing behind '+'", NULL,
     "complete the line; the next statement begins below it"},
    {"\n\n= {\n}\n", FAULT_syntax, "'=' does not fit here", NULL,
     "expected a definition such as 'tool die {', or let, formula, derive, limit, caution, require, waive, use, steps"},
    {"let a = 1 + * 2\n", FAULT_syntax, "a value is missing behind '+'", NULL, "between '+' and '*' stands a value"},
    {"let a = f(1,)\n", FAULT_syntax, "a value is missing behind ','", NULL,
     "complete it with a number and its unit, a name or a formula"},
    {"a b {\n x = 1 y = 2\n}\n", FAULT_syntax, "a second statement on one line", "a b {\n x = 1\n y = 2\n}\n",
     "one fact a line: begin a new line in front of 'y'"},
    {"a b {\n x = die punch\n}\n", FAULT_syntax, "'punch' does not belong to the value in front of it", NULL,
     "a list has commas: 'die, punch'; a value has an operator between its parts"},
    {"a b {\n x = 5 mm to 6 mm\n}\n", FAULT_syntax, "'to' does not belong to the value in front of it", NULL,
     "a range is written with two points: '5 mm .. 80 mm'"},
    {"let a = mm 5\n", FAULT_syntax, "the unit stands behind its number", "let a = 5 mm\n", "write '5 mm'"},
    {"let a = 5 [mm]\n", FAULT_syntax, "the unit of a value stands without brackets", "let a = 5 mm\n", "write '5 mm'"},
    {"let a = 2 sin(x)\n", FAULT_syntax, "'sin' is read as the unit of '2'", NULL,
     "between a number and a function stands an operator: '2 * sin(...)'"},
    {"let a = \"b\"(x)\n", FAULT_syntax, "only functions are followed by '('", NULL,
     "between two values stands an operator such as *"},
    {"let a = 1 < b < 3\n", FAULT_syntax, "comparisons do not chain", NULL, "write both: 'a < b and b < c'"},
    {"let a = b = c\n", FAULT_syntax, "'=' states a value; it does not compare", "let a = b == c\n", "write '=='"},
    {"require a = b\n", FAULT_syntax, "'=' states a value; it does not compare", "require a == b\n", "write '=='"},
    {"let a = if b then 1\n", FAULT_syntax, "'else' is missing: every 'if' gives a value both ways", NULL,
     "write 'if CONDITION then VALUE else VALUE'"},
    {"let a = if b\n", FAULT_syntax, "'then' is missing behind the condition", NULL,
     "write 'if CONDITION then VALUE else VALUE'"},
    {"formula a(b [1]) [1] = b +/- 1\n", FAULT_syntax,
     "a tolerance stands only behind the whole value of a property or let", NULL,
     "give a property the tolerance; a formula that uses the property takes it into account"},
    {"let a = 1 .. 2\n", FAULT_syntax, "a range stands only behind the whole value of a property", NULL,
     "give a property the range; a formula that uses the property takes it into account"},
    {"let a = table [mm] to [mm] {\n 1: 2\n}\n", FAULT_syntax, "'table' stands only as the whole value of a property",
     NULL, "write 'PROPERTY = table [degC] to [MPa] {'"},
    {"let a = each b\n", FAULT_syntax, "'each' stands only at the start of an argument", NULL,
     "write 'sum(each KIND as x: ...)' or 'count(each KIND)'"},
    {"let a = sum(each b: c)\n", FAULT_syntax, "'as' and a name are missing behind 'b'",
     "let a = sum(each b as x: c)\n", "write 'each b as x: ...'"},
    {"let a = sum(each x b.c as t: t)\n", FAULT_syntax, "'x' does not fit between 'each' and a list", NULL,
     "write 'each of h.between as t: ...', or 'each KIND as x: ...'"},
    {"let label = 1\n", FAULT_syntax, "'label' is a key word and cannot be a name here", NULL, "choose another name"},
    {"tool table {\n}\n", FAULT_syntax, "'table' is a key word and cannot be a name here", NULL, "choose another name"},
    {"tool \"die\" {\n}\n", FAULT_syntax, "a name stands without quotes", "tool die {\n}\n",
     "names are lower case, with hyphens inside: 'die'"},
    {"tool \"D\303\274se\" {\n}\n", FAULT_syntax, "a name stands without quotes", NULL,
     "names are lower case, with hyphens inside: river-logger-lid"},
    {"tool die\n material = h13\n}\n", FAULT_syntax, "'{' is missing behind 'tool die'",
     "tool die {\n material = h13\n}\n", "the facts of a definition stand in braces: 'tool die {'"},
    {"limit l\n value = 1\n}\n", FAULT_syntax, "'{' is missing behind 'limit l'", "limit l {\n value = 1\n}\n",
     "the facts of a definition stand in braces: 'limit l {'"},
    {"limit l\n", FAULT_syntax, "'{' is missing behind 'l'", NULL, "write 'limit l {' and the closing } below"},
    {"sheet\n{\n x = 1\n}\n", FAULT_syntax, "the opening brace stands on a line of its own", "sheet {\n x = 1\n}\n",
     "write it at the end of the line above, behind a space"},
    {"x = 1\n", FAULT_syntax, "'x' is stated outside any definition", NULL,
     "facts stand between the braces of their definition; a value of your own begins with let"},
    {"steps {\n x = 1\n}\n", FAULT_syntax, "'x' is stated outside any step", NULL,
     "facts of a step stand between its own braces"},
    {"}\n", FAULT_syntax, "this brace closes nothing", NULL,
     "leave it out, or look for what was closed too early above it"},
    {"let a = (b + c\nlet d = 1\n", FAULT_unclosed_paren, "this parenthesis is never closed", NULL,
     "close it with ) before the statement ends"},
    {"let a = ((b + c\nlet d = 1\n", FAULT_unclosed_paren, "2 parentheses are open here and never closed", NULL,
     "close them with ) before the statement ends"},
    {"let a = (b + c))\n", FAULT_syntax, "this parenthesis closes nothing", NULL,
     "leave it out, or look for what was closed too early above it"},
    {"a b {\n x = (1\n y = 2\n}\n", FAULT_unclosed_paren, "this parenthesis is never closed", NULL,
     "close it with ) before the statement ends"},
    {"a b {\n x = 1\n", FAULT_unclosed_brace, "this brace is never closed", NULL,
     "close the block with } in a line of its own"},
    {"a b {\n x = 1\n\nc d {\n y = 2\n}\n", FAULT_unclosed_brace, "this brace is never closed", NULL,
     "close the block with } in a line of its own"},
    {"steps {\n a b {\n  x = 1\n\n c d {\n  y = 2\n }\n}\n", FAULT_unclosed_brace, "this brace is never closed", NULL,
     "close the block with } in a line of its own"},
    {"a b {\n x = table [K] to [K] {\n  1: 2\n y = 3\n}\n", FAULT_unclosed_brace, "this brace is never closed", NULL,
     "close the block with } in a line of its own"},
    {"a b {\n c d {\n }\n}\n", FAULT_syntax, "a definition cannot stand inside another", NULL,
     "close the definition around it with } first; a fact is written 'NAME = VALUE'"},
    {"a b {\n source \"s\"\n}\n", FAULT_syntax, "this 'source' belongs to nothing", NULL,
     "a note stands behind the value it is about, or in the line below it"},
    {"source \"s\"\n", FAULT_syntax, "this 'source' belongs to nothing", NULL,
     "a note stands behind the value it is about, or in the line below it"},
    {"let a = 1 source\n", FAULT_syntax, "a text in double quotes is missing behind 'source'", NULL,
     "write 'source \"...\"'"},
    {"use shop\n", FAULT_syntax, "a text in double quotes is missing behind 'use'", NULL, "write 'use \"...\"'"},
    {"waive a until soon\n", FAULT_syntax, "'soon' does not fit here", NULL,
     "expected a date, as 2026-11-02; the form is 'waive LIMIT for NAME until 2026-12-31 by \"ROLE\" because \"...\"'"},
    {"limit l for b as c {\n}\n", FAULT_syntax, "'b' does not fit here", NULL,
     "expected 'each'; the form is 'limit NAME for each KIND as x {'"},
    {"limit l for each b {\n}\n", FAULT_syntax, "'{' does not fit here", NULL,
     "expected 'as'; the form is 'limit NAME for each KIND as x {'"},
    {"derive each b as c {\n}\n", FAULT_syntax, "'each' does not fit here", NULL,
     "expected 'for'; the form is 'derive for each KIND as x {'"},
    {"steps form {\n}\n", FAULT_syntax, "'form' does not fit here", NULL, "expected '{'; the form is 'steps {'"},
    {"formula f() [mm] = 1\n", FAULT_syntax, "')' does not fit here", NULL,
     "expected a name; the form is 'formula NAME(a [mm], b [K]) [mm] = VALUE'"},
    {"a b {\n x = table [K] [mm] {\n  1: 2\n }\n}\n", FAULT_syntax, "'[mm]' does not fit here", NULL,
     "expected 'to' or ','"},
    {"a b {\n x = table [K] to [mm] {\n  1 2\n }\n}\n", FAULT_syntax, "'2' does not fit here", NULL, "expected ':'"},
    {"let a = 1\n  < 2\n", FAULT_syntax, "a line cannot begin with '<'", NULL,
     "write it at the end of the line above, or put the whole value in parentheses"},
    {"5 = 3\n", FAULT_syntax, "'5' does not fit here", NULL,
     "expected a definition such as 'tool die {', or let, formula, derive, limit, caution, require, waive, use, steps"},
    {"let a = b \001 c\n", FAULT_stray_character, "the control character 0x01 means nothing here", NULL,
     "leave it out, or put it into a text or a comment"},
    {"a b {\n x = \"t\001u\"\n}\n", FAULT_stray_character, "a text cannot hold the control character 0x01", NULL,
     "delete it; a new line inside a text is written \\n"},
    {"# \342\200\256 turned\n", FAULT_stray_character, "the hidden character U+202E turns the order of the text around",
     NULL, "delete it: a reader would see another text than the one that is compiled"},
    {"let a = \260\n", FAULT_invalid_utf8, "1 byte is not UTF-8: 0xb0", NULL,
     "save the file as UTF-8; a degree sign from an old editor may be written 'degC'"},
    {"let a = 5\r let b = 6\n", FAULT_stray_character, "a carriage return by itself does not end a line", NULL,
     "save the file with LF, or CR and LF, at the end of each line"},
    {"Let a = 1\n", FAULT_upper_case_name, "'Let' is not written as a key word", "let a = 1\n",
     "key words are lower case: write 'let'"},
    {"a b {\n x = 02.11.2026\n}\n", FAULT_bad_number, "'02.11.2026' is not written as a number", NULL,
     "a number has one point, as in 0.50; digits are grouped by _, as in 3_500; a date is 2026-11-02"},
    {"let a = b\n}\nlet c = 1\n", FAULT_syntax, "this brace closes nothing", NULL,
     "leave it out, or look for what was closed too early above it"},
    {"a b {\n x = 1 because y\n}\n", FAULT_syntax, "a text in double quotes is missing behind 'because'", NULL,
     "write 'because \"...\"'"},
    {"a b {\n x = \"t\" \"u\"\n}\n", FAULT_syntax, "'\"u\"' does not belong to the value in front of it", NULL,
     "one fact a line; between two values stands an operator such as + or *"},
    {"a b {\n x = find 1 K\n}\n", FAULT_syntax, "the line ends too early", NULL, "expected '..' or an operator"},
    {"let a = \nsheet {\n x = 1\n}\n", FAULT_syntax, "a value is missing behind '='", NULL,
     "write the value behind '=', or leave the line out"},
    {"let a = ]\n", FAULT_stray_character, "']' means nothing here", NULL, "a unit type is opened with [: [mm]"},
    {"let a = \"t {(b} u\"\n", FAULT_unclosed_paren, "this parenthesis is never closed", NULL,
     "close it with ) before the statement ends"},
    {"a b {\n x = 5 mm +/- [mm]\n}\n", FAULT_syntax, "'[mm]' does not fit here", NULL, "expected a value"},
    {"tool die 5 {\n x = 1\n}\n", FAULT_syntax, "'5' does not fit here", NULL, "expected 'like' or '{'"},
    {"tool die.x {\n x = 1\n}\n", FAULT_syntax, "'.' does not fit here", NULL, "expected 'like' or '{'"},
    {"let a = (\n", FAULT_unclosed_paren, "this parenthesis is never closed", NULL,
     "close it with ) before the statement ends"},
    {"let a = f(b c)\n", FAULT_syntax, "'c' does not belong to the value in front of it", NULL,
     "a list has commas: 'b, c'; a value has an operator between its parts"},
    /* numbers and units as people paste them */
    {"a b {\n x = 250,000 N\n}\n", FAULT_bad_number, "a comma in a number may part thousands or decimals", NULL,
     "write '250000' for the large number or '250.000' for the small one"},
    {"a b {\n x = 1,250.5 N\n}\n", FAULT_bad_number, "a comma does not part thousands", "a b {\n x = 1250.5 N\n}\n",
     "leave it out: '1250.5'"},
    {"a b {\n x = 1,250,000 N\n}\n", FAULT_bad_number, "a comma does not part thousands", "a b {\n x = 1250000 N\n}\n",
     "leave it out: '1250000'"},
    {"a b {\n x = 1.250,5 N\n}\n", FAULT_bad_number, "a comma does not part decimals", "a b {\n x = 1250.5 N\n}\n",
     "write a point: '1250.5'"},
    {"a b {\n x = 0,125 in\n}\n", FAULT_bad_number, "a comma does not part decimals", "a b {\n x = 0.125 in\n}\n",
     "write a point: '0.125'"},
    {"a b {\n x = 43 deg C\n}\n", FAULT_unknown_unit, "a temperature scale is one word", "a b {\n x = 43 degC\n}\n",
     "write 'degC'"},
    {"a b {\n x = 43 \302\260 C\n}\n", FAULT_unknown_unit, "a temperature scale is one word",
     "a b {\n x = 43 degC\n}\n", "write 'degC'"},
    {"a b {\n x = 110 degrees Fahrenheit\n}\n", FAULT_unknown_unit, "a temperature scale is one word",
     "a b {\n x = 110 degF\n}\n", "write 'degF'"},
    {"a b {\n x = 2.8346\"\n}\n", FAULT_unknown_unit, "an inch mark is no unit", "a b {\n x = 2.8346 in\n}\n",
     "write '2.8346 in'"},
    {"a b {\n x = 9\302\240mm\n}\n", FAULT_stray_character, "a no-break space means nothing here",
     "a b {\n x = 9 mm\n}\n", "write an ordinary space"},
    {"a b {\n x = \357\274\221\357\274\222.5 mm\n}\n", FAULT_stray_character, "these are full-width characters",
     "a b {\n x = 12.5 mm\n}\n", "write '12.5', with the keyboard's input method off"},
    {"a b {\n x = \303\23048 mm\n}\n", FAULT_stray_character, "a diameter sign is not written",
     "a b {\n x = 48 mm\n}\n", "leave it out: the name of the property says what the value is"},
    {"a b {\n x = R0.4 mm\n}\n", FAULT_stray_character, "a radius sign is not written", "a b {\n x = 0.4 mm\n}\n",
     "leave it out: the name of the property says what the value is"},
    {"a b {\n x = 190 \342\200\223 210 degC\n}\n", FAULT_stray_character, "a range is written with two points",
     "a b {\n x = 190 degC .. 210 degC\n}\n", "write '190 degC .. 210 degC'"},
    {"a b {\n x = 5 mm \342\200\223 3 mm\n}\n", FAULT_stray_character, "a dash means nothing here",
     "a b {\n x = 5 mm - 3 mm\n}\n", "write '-'"},
    {"a b {\n x = 1 min 12 s\n}\n", FAULT_syntax, "'12' does not belong to the value in front of it",
     "a b {\n x = 1 min + 12 s\n}\n", "parts of one value are added: '1 min + 12 s'"},
    {"a b {\n x = 25 mm per s\n}\n", FAULT_syntax, "'per' does not belong to the value in front of it",
     "a b {\n x = 25 mm/s\n}\n", "a quotient of units is written 'mm/s'"},
    {"a b {\n x = about 62 kg\n}\n", FAULT_syntax, "'62' does not belong to the value in front of it", NULL,
     "a value is a number with its unit; leave 'about' out, or write a band: '62 kg +/- 1 kg'"},
    /* marks and words of other languages */
    {"/* the part */\n", FAULT_syntax, "'/*' is not a mark of the language", "# the part\n", "a comment begins with #"},
    {"/* the\n part */\nlet a = 5\n", FAULT_syntax, "'/*' is not a mark of the language", NULL,
     "a comment begins with #, in each of its lines"},
    {"-- the part\n", FAULT_syntax, "'--' is not a mark of the language", "# the part\n", "a comment begins with #"},
    {"import \"a.recipe\"\n", FAULT_syntax, "another file is named with 'use'", "use \"a.recipe\"\n",
     "write 'use \"a.recipe\"'"},
    {"a b {\n x = 1 mm, y = 2 mm\n}\n", FAULT_syntax, "a second statement on one line",
     "a b {\n x = 1 mm\n y = 2 mm\n}\n", "one fact a line: begin a new line in front of 'y'"},
    {"dimension overall width {\n x = 1\n}\n", FAULT_syntax, "a name has no blanks",
     "dimension overall-width {\n x = 1\n}\n", "join its words by hyphens: 'overall-width'"},
    {"dimension \"Overall width\" {\n x = 1\n}\n", FAULT_syntax, "a name stands without quotes",
     "dimension overall-width {\n x = 1\n}\n", "names are lower case, with hyphens inside: 'overall-width'"},
    {"a b {\n x = (die, punch)\n}\n", FAULT_syntax, "a list stands without brackets", "a b {\n x = die, punch\n}\n",
     "write 'die, punch'"},
    {"a b {\n x = [die, punch]\n}\n", FAULT_syntax, "a list stands without brackets", "a b {\n x = die, punch\n}\n",
     "write 'die, punch'"},
    {"a b {\n x = {die, punch}\n}\n", FAULT_syntax, "a list stands without brackets", "a b {\n x = die, punch\n}\n",
     "write 'die, punch'"},
    {"a b {\n x = find\n}\n", FAULT_syntax, "'find' is a key word of the language and names nothing", NULL,
     "write another word; what is called so must be given another name"},
    {"a b {\n x = by\n}\n", FAULT_syntax, "'by' is a key word of the language and names nothing", NULL,
     "write another word; what is called so must be given another name"},
    {"a b {\n x = max 1.2 s\n}\n", FAULT_syntax, "'1.2' does not belong to the value in front of it", NULL,
     "a value is a number with its unit; leave 'max' out, or write a band: '62 kg +/- 1 kg'"},
};

enum { SLIPS = sizeof slips / sizeof slips[0] };

static struct text mend(struct text bytes, const struct edit *e)
{
    return arena_format(&arena, "%.*s%.*s%.*s", (int)e->span.lo, bytes.at, TEXT_ARGS(e->text),
                        (int)(bytes.len - e->span.hi), bytes.at + e->span.hi);
}

START_TEST(tells_the_slip)
{
    const struct slip *slip = &slips[_i];
    struct text bytes = text_of(slip->text);
    parse_text(bytes);
    ck_assert_msg(ds.all.count == 1, "%s gives %u faults", slip->text, ds.all.count);
    const struct diagnostic *d = ds.all.at[0];
    ck_assert_int_eq(d->fault, slip->fault);
    ck_assert_msg(text_is(d->message, slip->message), "%s: %.*s", slip->text, TEXT_ARGS(d->message));
    ck_assert_msg(text_is(d->help, slip->help), "%s: %.*s", slip->text, TEXT_ARGS(d->help));
    ck_assert_uint_le(d->span.lo, d->span.hi);
    ck_assert_uint_le(d->span.hi, bytes.len);
    ck_assert_msg((d->edit.span.file != 0) == (slip->mended != NULL), "%s: edit", slip->text);
    if (slip->mended)
        ck_assert_msg(text_is(mend(bytes, &d->edit), slip->mended), "%s: %.*s", slip->text,
                      TEXT_ARGS(mend(bytes, &d->edit)));
}
END_TEST

/* An edit is sure enough to be applied unseen: it must take its fault away, and bring no other. */
START_TEST(what_is_mended_is_sound)
{
    const struct slip *slip = &slips[_i];
    if (!slip->mended)
        return;
    parse_text(text_of(slip->mended));
    ck_assert_msg(ds.all.count == 0, "%s is still faulty", slip->mended);
}
END_TEST

/* Several slips in one text are all told, each once, in order of their places. */
START_TEST(tells_every_slip_once)
{
    parse_text(TEXT("sheet {\n"
                    "    thickness : 0.50 mm\n"
                    "    length = 187mm\n"
                    "    width 129 mm\n"
                    "    alloy = (az31b-o\n"
                    "}\n"
                    "\n"
                    "tool die\n"
                    "    material = 'h13'\n"
                    "}\n"
                    "\n"
                    "let gap = 1 mm -0.5 mm;\n"
                    "let half = \n"
                    "steps {\n"
                    "    stroke form {\n"
                    "        speed = mm/s 25\n"
                    "\n"
                    "    cooling rack {\n"
                    "        down-to = 45 degC +- 2 K\n"
                    "    }\n"
                    "}\n"));
    static const enum fault expected[] = {
        FAULT_syntax, FAULT_missing_space,   FAULT_syntax,        FAULT_unclosed_paren,
        FAULT_syntax, FAULT_stray_character, FAULT_missing_space, FAULT_stray_character,
        FAULT_syntax, FAULT_unclosed_brace,  FAULT_syntax,        FAULT_syntax,
    };
    diagnostics_sort(&ds);
    ck_assert_uint_eq(ds.all.count, sizeof expected / sizeof expected[0]);
    for (uint32_t i = 0; i < ds.all.count; i++)
        ck_assert_msg(ds.all.at[i]->fault == expected[i], "fault %u: %.*s", i, TEXT_ARGS(ds.all.at[i]->message));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("syntax faults");
    TCase *tests = tcase_create("syntax faults");
    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_loop_test(tests, tells_the_slip, 0, SLIPS);
    tcase_add_loop_test(tests, what_is_mended_is_sound, 0, SLIPS);
    tcase_add_test(tests, tells_every_slip_once);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
