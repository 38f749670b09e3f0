/* The grammar: shapes, not the words of the trade. Nodes are built in build.c, messages in syntax_faults.c.
 *
 * Line ends, key words used as names and brackets were settled by the scanner: a statement ends with one NEWLINE, the
 * last one of a block or file too, and all brackets close. Names, numbers with their units, texts, dates and unit
 * types come as leaves of the tree. `error` stands for the rest of a faulty statement, which syntax_pass_over_statement()
 * skips, or for the rest of the head of a block. */
%require "3.8"
%define api.pure full
%define api.prefix {recipe_}
%define api.token.raw
%define api.token.prefix {T_}
%define api.value.type {built}
%define api.location.type {struct token_range}
%define parse.error custom
%define parse.lac full
%define lr.type ielr
%locations
%expect 0
%param { struct parser *p }

%code requires {
#include "grammar/build.h"
}
%code {
#include "grammar/syntax_faults.h"

/* Brackets and prefixes are limited by the scanner; this holds what is left. */
#define YYMAXDEPTH 20000
#define YYLLOC_DEFAULT(at, rhs, n)                                                                                     \
    do {                                                                                                               \
        (at).first = (n) ? YYRHSLOC(rhs, 1).first : YYRHSLOC(rhs, 0).last;                                             \
        (at).last = (n) ? YYRHSLOC(rhs, n).last : YYRHSLOC(rhs, 0).last;                                               \
    } while (0)
#define NODE(kind, where, children) node_new(p, kind, 0, where, children)
#define BROKEN(kind, where, children) node_flag(p, node_new(p, kind, 0, where, children), NODE_BROKEN)
#define BROKEN_BY(kind, from, to, children, fault)                                                                     \
    node_broken(p, kind, RANGE(from, to), children, fault)
#define BINARY(op, where, a, b) node_new(p, NODE_BINARY, op, where, ADD(OF(a), b))
#define NOTHING 0
#define OF(node) list_of(p, node)
#define ADD(list, node) list_add(p, list, node)
#define JOIN(a, b) list_join(p, a, b)
/* On with what follows; its next fault is told, however near. The token that did not fit may not have been dropped
 * yet. */
#define RESUME                                                                                                         \
    do {                                                                                                               \
        if (p->drop)                                                                                                   \
            yyclearin;                                                                                                 \
        p->drop = false;                                                                                               \
        if (!p->at_end)                                                                                                \
            yyerrok;                                                                                                   \
    } while (0)
#define FAULT_AT(where) node_error(p, where)
#define RANGE(from, to) ((struct token_range){(from).first, (to).last})
#define WHOLE_FILE ((struct token_range){1, p->tree->token_count - 1})

static int recipe_lex(YYSTYPE *value, struct token_range *at, struct parser *p)
{
    return next_token(p, value, at);
}

static void recipe_error(struct token_range *at, struct parser *p, const char *message)
{
    (void)message; /* the only one is that the stack is full */
    report_exhausted(p, *at);
}
}

/* In the order of enum token_kind, whose numbers they have. NEWLINE and TRIVIA stand where COMMENT and STRAY are, which
 * the parser never sees; a UNIT is part of its NUMBER. */
%token END 0 "end of file"
%token NEWLINE "end of line" TRIVIA
%token NAME NUMBER UNIT UNIT_TYPE DATE TEXT
%token TEXT_HEAD TEXT_MID TEXT_TAIL
%token USE "use" LET "let" DERIVE "derive" FORMULA "formula" LIMIT "limit" REQUIRE "require" WAIVE "waive"
%token CAUTION "caution" STEPS "steps" LIKE "like" FOR "for" EACH "each" AS "as" TABLE "table" TO "to" FIND "find"
%token PREFER "prefer" UNTIL "until" BECAUSE "because" BY "by" SOURCE "source" REMEDY "remedy" LABEL "label" IF "if" THEN "then"
%token ELSE "else" AND "and" OR "or" NOT "not" TRUE "true" FALSE "false"
%token OPEN_BRACE "{" CLOSE_BRACE "}" OPEN "(" CLOSE ")" COMMA "," COLON ":" DOT "." EQUALS "=" PLUS_MINUS "+/-"
%token RANGE ".." PLUS "+" MINUS "-" PLUS_TIGHT MINUS_TIGHT TIMES "*" DIVIDE "/" POWER "^" LESS "<" LESS_EQUAL "<="
%token GREATER ">" GREATER_EQUAL ">=" SAME "==" DIFFERENT "!=" HOLE "?"

%precedence "else"
%left "or"
%left "and"
%precedence "not"
%nonassoc "<" "<=" ">" ">=" "==" "!="
%left "+" "-"
%left "*" "/"
%precedence NEGATIVE
%right "^"
%precedence "." "("

%%

file
    : items                         { p->tree->root = node_of(NODE(NODE_FILE, WHOLE_FILE, $items)); }

items
    : %empty                        { $$ = NOTHING; }
    | items[all] item NEWLINE       { $$ = ADD($all, $item); }

item
    : definition
    | noted
    | "use" text                    { $$ = NODE(NODE_USE, @$, OF($text)); }
    | "derive" "for" "each" NAME[kind] "as" NAME[as] derived_block[block]
                                    { $$ = NODE(NODE_DERIVE, @$, JOIN(ADD(OF($kind), $as), $block)); }
    | "derive" error                { $$ = FAULT_AT(@$); RESUME; }
    | "derive" error recover derived_block[block]   { $$ = BROKEN(NODE_ERROR, @$, $block); }
    | "limit" NAME optional_each[each] rule_block[block]
                                    { $$ = NODE(NODE_LIMIT, @$, JOIN(JOIN(OF($NAME), $each), $block)); }
    | "limit" error                 { $$ = FAULT_AT(@$); RESUME; }
    | "limit" error recover rule_block[block]       { $$ = BROKEN(NODE_ERROR, @$, $block); }
    | "caution" NAME optional_each[each] rule_block[block]
                                    { $$ = NODE(NODE_CAUTION, @$, JOIN(JOIN(OF($NAME), $each), $block)); }
    | "caution" error               { $$ = FAULT_AT(@$); RESUME; }
    | "caution" error recover rule_block[block]     { $$ = BROKEN(NODE_ERROR, @$, $block); }
    | "steps" steps_block[block]    { $$ = NODE(NODE_STEPS, @$, $block); }
    | "steps" error                 { $$ = FAULT_AT(@$); RESUME; }
    | "steps" error recover steps_block[block]      { $$ = BROKEN(NODE_STEPS, @$, $block); }
    | note                          { $$ = report_lone_note(p, $note); }
    | half_head
    | error                         { $$ = FAULT_AT(@$); RESUME; }
    | error recover block           { $$ = BROKEN(NODE_ERROR, @$, $block); }

/* Items that notes may follow. */
noted
    : "let" path optional_unit[unit] "=" expression
                                    { $$ = NODE(NODE_LET, @$, ADD(JOIN(OF($path), $unit), $expression)); }
    | "let" path optional_unit[unit] "=" expression spread
                                    { $$ = NODE(NODE_LET, @$, ADD(ADD(JOIN(OF($path), $unit), $expression), $spread)); }
    | "let" path optional_unit[unit] "=" tolerance
                                    { $$ = NODE(NODE_LET, @$, ADD(JOIN(OF($path), $unit), $tolerance)); }
    | "let" path optional_unit[unit] "=" tolerance spread
                                    { $$ = NODE(NODE_LET, @$, ADD(ADD(JOIN(OF($path), $unit), $tolerance), $spread)); }
    | "let" path optional_unit[unit] "=" error
                                    { $$ = BROKEN_BY(NODE_LET, @1, @4, JOIN(OF($path), $unit), @error); RESUME; }
    | "formula" NAME signature "=" expression
                                    { $$ = NODE(NODE_FORMULA, @$, ADD(ADD(OF($NAME), $signature), $expression)); }
    | "formula" NAME signature "=" error
                                    { $$ = BROKEN_BY(NODE_FORMULA, @1, @4, ADD(OF($NAME), $signature), @error);
                                      RESUME; }
    | "require" expression          { $$ = NODE(NODE_REQUIRE, @$, OF($expression)); }
    | "require" error               { $$ = BROKEN_BY(NODE_REQUIRE, @1, @1, NOTHING, @error); RESUME; }
    | "waive" NAME[limit]           { $$ = NODE(NODE_WAIVE, @$, OF($limit)); }
    | "waive" NAME[limit] "for" NAME[subject]
                                    { $$ = NODE(NODE_WAIVE, @$, ADD(OF($limit), $subject)); }
    | "waive" NAME[limit] "until" DATE
                                    { $$ = NODE(NODE_WAIVE, @$, ADD(OF($limit), $DATE)); }
    | "waive" NAME[limit] "for" NAME[subject] "until" DATE
                                    { $$ = NODE(NODE_WAIVE, @$, ADD(ADD(OF($limit), $subject), $DATE)); }
    | noted[item] note              { $$ = node_add_note(p, $item, $note); }

recover
    : %empty                        { RESUME; }

/* ---- definitions ------------------------------------------------------------------------------------------------- */

definition
    : NAME[kind] like block         { $$ = NODE(NODE_DEFINITION, @$, JOIN(JOIN(OF($kind), $like), $block)); }
    | NAME[kind] NAME[name] like block
                                    { $$ = NODE(NODE_DEFINITION, @$, JOIN(ADD(OF($kind), $name), JOIN($like, $block))); }
    | NAME[kind] error recover block { $$ = BROKEN(NODE_ERROR, @$, JOIN(OF($kind), $block)); }
    | NAME[kind] NAME[called] error recover block
                                    { $$ = BROKEN(NODE_DEFINITION, @$, JOIN(ADD(OF($kind), $called), $block)); }

half_head
    : NAME error                    { $$ = FAULT_AT(@$); RESUME; }
    | NAME NAME error               { $$ = FAULT_AT(@$); RESUME; }

like
    : %empty                        { $$ = NOTHING; }
    | "like" NAME                   { $$ = OF(NODE(NODE_LIKE, @$, OF($NAME))); }

block
    : "{" lines "}"                 { $$ = $lines; }

lines
    : %empty                        { $$ = NOTHING; }
    | lines[all] property NEWLINE   { $$ = ADD($all, $property); }
    | lines[all] odd_line NEWLINE   { $$ = ADD($all, $odd_line); }

odd_line
    : definition                    { $$ = report_nested(p, $definition); }
    | NAME[called] NAME error       { $$ = BROKEN_BY(NODE_PROPERTY, @1, @1, OF($called), RANGE(@2, @3)); RESUME; }
    | note                          { $$ = report_lone_note(p, $note); }
    | error                         { $$ = FAULT_AT(@error); RESUME; }

property
    : NAME "=" value                { $$ = NODE(NODE_PROPERTY, @$, ADD(OF($NAME), $value)); }
    | NAME "=" value spread         { $$ = NODE(NODE_PROPERTY, @$, ADD(ADD(OF($NAME), $value), $spread)); }
    | NAME signature "=" value      { $$ = NODE(NODE_PROPERTY, @$, ADD(ADD(OF($NAME), $signature), $value)); }
    | NAME signature "=" value spread
                                    { $$ = NODE(NODE_PROPERTY, @$, ADD(ADD(ADD(OF($NAME), $signature), $value), $spread)); }
    | NAME text                     { $$ = node_flag(p, NODE(NODE_PROPERTY, @$, ADD(OF($NAME), $text)), NODE_BARE); }
    | NAME error                    { $$ = BROKEN_BY(NODE_PROPERTY, @1, @1, OF($NAME), @error); RESUME; }
    | NAME "=" error                { $$ = BROKEN_BY(NODE_PROPERTY, @1, @2, OF($NAME), @error); RESUME; }
    | NAME signature "=" error
                                    { $$ = BROKEN_BY(NODE_PROPERTY, @1, @3, ADD(OF($NAME), $signature), @error);
                                      RESUME; }
    | property[of] note             { $$ = node_add_note(p, $of, $note); }

path
    : path_parts                    { $$ = NODE(NODE_PATH, @$, $path_parts); }

path_parts
    : NAME                          { $$ = OF($NAME); }
    | path_parts[all] "." NAME      { $$ = ADD($all, $NAME); }

signature
    : "(" parameters ")" UNIT_TYPE  { $$ = NODE(NODE_SIGNATURE, @$, ADD($parameters, $UNIT_TYPE)); }

parameters
    : parameter                     { $$ = OF($parameter); }
    | parameters[all] "," parameter { $$ = ADD($all, $parameter); }

parameter
    : NAME UNIT_TYPE                { $$ = NODE(NODE_PARAMETER, @$, ADD(OF($NAME), $UNIT_TYPE)); }

optional_unit
    : %empty                        { $$ = NOTHING; }
    | UNIT_TYPE                     { $$ = OF($UNIT_TYPE); }

note
    : "because" text                { $$ = node_new(p, NODE_NOTE, TOKEN_BECAUSE, @$, OF($text)); }
    | "by" text                     { $$ = node_new(p, NODE_NOTE, TOKEN_BY, @$, OF($text)); }
    | "source" text                 { $$ = node_new(p, NODE_NOTE, TOKEN_SOURCE, @$, OF($text)); }
    | "remedy" text                 { $$ = node_new(p, NODE_NOTE, TOKEN_REMEDY, @$, OF($text)); }
    | "label" text                  { $$ = node_new(p, NODE_NOTE, TOKEN_LABEL, @$, OF($text)); }
    | "label" text "for" purposes   { $$ = node_new(p, NODE_NOTE, TOKEN_LABEL, @$, JOIN(OF($text), $purposes)); }

/* label "time until ready" for set-up, waiting */
purposes
    : NAME                          { $$ = OF($NAME); }
    | purposes[all] "," NAME        { $$ = ADD($all, $NAME); }

/* ---- derive, limit, caution, steps ------------------------------------------------------------------------------- */

derived_block
    : "{" derived_lines "}"         { $$ = $derived_lines; }

derived_lines
    : %empty                        { $$ = NOTHING; }
    | derived_lines[all] derived NEWLINE            { $$ = ADD($all, $derived); }
    | derived_lines[all] note NEWLINE               { $$ = ADD($all, report_lone_note(p, $note)); }
    | derived_lines[all] error NEWLINE              { $$ = ADD($all, FAULT_AT(@error)); RESUME; }

derived
    : NAME optional_unit[unit] "=" expression
                                    { $$ = NODE(NODE_DERIVED, @$, ADD(JOIN(OF($NAME), $unit), $expression)); }
    | NAME optional_unit[unit] "=" error
                                    { $$ = BROKEN_BY(NODE_DERIVED, @1, @3, JOIN(OF($NAME), $unit), @error); RESUME; }
    | derived[of] note              { $$ = node_add_note(p, $of, $note); }

optional_each
    : %empty                        { $$ = NOTHING; }
    | "for" each                    { $$ = OF($each); }

each
    : "each" NAME[kind] "as" NAME[as]               { $$ = NODE(NODE_EACH, @$, ADD(OF($kind), $as)); }

rule_block
    : "{" rule_lines "}"            { $$ = $rule_lines; }

rule_lines
    : %empty                        { $$ = NOTHING; }
    | rule_lines[all] property NEWLINE              { $$ = ADD($all, $property); }
    | rule_lines[all] note NEWLINE                  { $$ = ADD($all, $note); }
    | rule_lines[all] error NEWLINE                 { $$ = ADD($all, FAULT_AT(@error)); RESUME; }

steps_block
    : "{" step_lines "}"            { $$ = $step_lines; }

step_lines
    : %empty                        { $$ = NOTHING; }
    | step_lines[all] definition NEWLINE            { $$ = ADD($all, $definition); }
    | step_lines[all] half_head NEWLINE             { $$ = ADD($all, $half_head); }
    | step_lines[all] error NEWLINE                 { $$ = ADD($all, FAULT_AT(@error)); RESUME; }
    | step_lines[all] error recover block NEWLINE
                                    { $$ = ADD($all, BROKEN(NODE_ERROR, RANGE(@error, @block), $block)); }

/* ---- values ------------------------------------------------------------------------------------------------------ */

value
    : expression
    | tolerance
    | expression[low] ".." expression[high]         { $$ = NODE(NODE_RANGE, @$, ADD(OF($low), $high)); }
    | unknown
    | "?"                           { $$ = NODE(NODE_HOLE, @$, NOTHING); }
    | list                          { $$ = NODE(NODE_LIST, @$, $list); }
    | table
    | table "+/-" expression[half]  { $$ = NODE(NODE_TOLERANCE, @$, ADD(OF($table), $half)); }
    | table PLUS_TIGHT NUMBER[plus] MINUS_TIGHT NUMBER[minus]
                                    { $$ = NODE(NODE_TOLERANCES, @$, ADD(ADD(OF($table), $plus), $minus)); }

/* find 150 degC .. 240 degC +/- 4 K prefer lowest */
unknown
    : sought                        { $$ = NODE(NODE_FIND, @$, $sought); }
    | sought "prefer" NAME          { $$ = NODE(NODE_FIND, @$, ADD($sought, $NAME)); }

sought
    : "find" expression[low] ".." expression[high]  { $$ = ADD(OF($low), $high); }
    | "find" expression[low] ".." expression[high] "+/-" expression[half]
                                    { $$ = ADD(ADD(OF($low), $high), $half); }

tolerance
    : expression[nominal] "+/-" expression[half]    { $$ = NODE(NODE_TOLERANCE, @$, ADD(OF($nominal), $half)); }
    | expression[nominal] PLUS_TIGHT NUMBER[plus] MINUS_TIGHT NUMBER[minus]
                                    { $$ = NODE(NODE_TOLERANCES, @$, ADD(ADD(OF($nominal), $plus), $minus)); }

/* as triangular; as normal(k 2, freedom 18) */
spread
    : "as" NAME[shape]              { $$ = NODE(NODE_SPREAD, @$, OF($shape)); }
    | "as" NAME[shape] "(" spread_facts[facts] ")"  { $$ = NODE(NODE_SPREAD, @$, JOIN(OF($shape), $facts)); }

spread_facts
    : spread_fact                   { $$ = OF($spread_fact); }
    | spread_facts[all] "," spread_fact             { $$ = ADD($all, $spread_fact); }

spread_fact
    : NAME NUMBER                   { $$ = NODE(NODE_SPREAD_FACT, @$, ADD(OF($NAME), $NUMBER)); }

list
    : expression[a] "," expression[b]               { $$ = ADD(OF($a), $b); }
    | list[all] "," expression      { $$ = ADD($all, $expression); }

table
    : "table" UNIT_TYPE[in] "to" UNIT_TYPE[out] "{" rows "}"
                                    { $$ = NODE(NODE_TABLE, @$, JOIN(ADD(OF($in), $out), $rows)); }
    | "table" UNIT_TYPE[in] "," UNIT_TYPE[across] "to" UNIT_TYPE[out] "{" rows "}"
                                    { $$ = NODE(NODE_TABLE, @$, JOIN(ADD(ADD(OF($in), $across), $out), $rows)); }

rows
    : %empty                        { $$ = NOTHING; }
    | rows[all] row NEWLINE         { $$ = ADD($all, $row); }
    | rows[all] error NEWLINE       { $$ = $all; RESUME; }

row
    : cell[head] ":" cells          { $$ = NODE(NODE_ROW, @$, JOIN(OF($head), $cells)); }
    | NAME[head] ":" cells          { $$ = NODE(NODE_ROW, @$, JOIN(OF($head), $cells)); }

cells
    : cell                          { $$ = OF($cell); }
    | cells[all] "," cell           { $$ = ADD($all, $cell); }

cell
    : NUMBER
    | MINUS_TIGHT NUMBER            { $$ = node_negative(p, $NUMBER, @1.first); }

/* ---- expressions ------------------------------------------------------------------------------------------------- */

expression
    : NUMBER
    | NAME
    | text
    | DATE
    | "true"                        { $$ = node_new(p, NODE_BOOLEAN, TOKEN_TRUE, @$, NOTHING); }
    | "false"                       { $$ = node_new(p, NODE_BOOLEAN, TOKEN_FALSE, @$, NOTHING); }
    | "caution"                     { $$ = NODE(NODE_NAME, @$, NOTHING); } /* the signal word */
    | "(" expression[x] ")"         { $$ = NODE(NODE_PAREN, @$, OF($x)); }
    | expression[of] "." NAME       { $$ = NODE(NODE_MEMBER, @$, ADD(OF($of), $NAME)); }
    | expression[of] "(" arguments ")"
                                    { $$ = NODE(NODE_CALL, @$, JOIN(OF(syntax_check_called(p, $of)), $arguments)); }
    | MINUS_TIGHT expression[x] %prec NEGATIVE      { $$ = node_new(p, NODE_UNARY, TOKEN_MINUS, @$, OF($x)); }
    | "not" expression[x]           { $$ = node_new(p, NODE_UNARY, TOKEN_NOT, @$, OF($x)); }
    | expression[a] "+" expression[b]               { $$ = BINARY(TOKEN_PLUS, @$, $a, $b); }
    | expression[a] "-" expression[b]               { $$ = BINARY(TOKEN_MINUS, @$, $a, $b); }
    | expression[a] "*" expression[b]               { $$ = BINARY(TOKEN_TIMES, @$, $a, $b); }
    | expression[a] "/" expression[b]               { $$ = BINARY(TOKEN_DIVIDE, @$, $a, $b); }
    | expression[a] "^" expression[b]               { $$ = BINARY(TOKEN_POWER, @$, $a, $b); }
    | expression[a] "<" expression[b]               { $$ = BINARY(TOKEN_LESS, @$, $a, $b); }
    | expression[a] "<=" expression[b]              { $$ = BINARY(TOKEN_LESS_EQUAL, @$, $a, $b); }
    | expression[a] ">" expression[b]               { $$ = BINARY(TOKEN_GREATER, @$, $a, $b); }
    | expression[a] ">=" expression[b]              { $$ = BINARY(TOKEN_GREATER_EQUAL, @$, $a, $b); }
    | expression[a] "==" expression[b]              { $$ = BINARY(TOKEN_SAME, @$, $a, $b); }
    | expression[a] "!=" expression[b]              { $$ = BINARY(TOKEN_DIFFERENT, @$, $a, $b); }
    | expression[a] "and" expression[b]             { $$ = BINARY(TOKEN_AND, @$, $a, $b); }
    | expression[a] "or" expression[b]              { $$ = BINARY(TOKEN_OR, @$, $a, $b); }
    | "if" expression[c] "then" expression[a] "else" expression[b]
                                    { $$ = NODE(NODE_IF, @$, ADD(ADD(OF($c), $a), $b)); }

text
    : TEXT
    | TEXT_HEAD text_parts TEXT_TAIL                { $$ = NODE(NODE_TEXT, @$, $text_parts); }

text_parts
    : expression                    { $$ = OF($expression); }
    | text_parts[all] TEXT_MID expression           { $$ = ADD($all, $expression); }

arguments
    : %empty                        { $$ = NOTHING; }
    | some_arguments

some_arguments
    : argument                      { $$ = OF($argument); }
    | some_arguments[all] "," argument              { $$ = ADD($all, $argument); }

argument
    : expression
    | each_of

/* each draw; each draw as d: d.force; each of h.between as t: t.mass */
each_of
    : "each" each_head[head]        { $$ = NODE(NODE_EACH, @$, OF($head)); }
    | "each" each_head[head] "as" NAME[as] ":" expression
                                    { $$ = NODE(NODE_EACH, @$, ADD(ADD(OF($head), $as), $expression)); }

each_head
    : NAME
    | NAME[of] NAME[list]           { $$ = syntax_check_of(p, @of, $list); }
    | NAME[of] NAME[list] "." NAME[member]
                                    { $$ = syntax_check_of(p, @of, NODE(NODE_MEMBER, RANGE(@list, @member),
                                                                 ADD(OF($list), $member))); }

%%

static uint8_t kind_of_symbol(int symbol)
{
    return symbol == SYMBOL_NEWLINE ? TOKEN_NEWLINE : (uint8_t)symbol;
}

static int yyreport_syntax_error(const yypcontext_t *context, struct parser *p)
{
    yysymbol_kind_t expected[YYNTOKENS];
    struct unexpected u = {.kind = kind_of_symbol((int)yypcontext_token(context)), .at = *yypcontext_location(context)};
    bool told = p->diagnostics->all.count < p->diagnostics->limit; /* beyond it faults are only counted */
    int count = told ? yypcontext_expected_tokens(context, expected, YYNTOKENS) : 0;
    for (int i = 0; i < count; i++)
        u.wanted[kind_of_symbol((int)expected[i])] = true;
    report_syntax(p, &u);
    syntax_pass_over_statement(p, &u);
    return 0;
}
