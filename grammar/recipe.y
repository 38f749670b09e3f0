/* The grammar: shapes, not the words of the trade. Actions are one call; nodes are built in build.c, messages in
 * syntax_faults.c. Token kinds are those of compiler/syntax.h. */
%require "3.8"
%define api.pure full
%define api.prefix {recipe_}
%define api.value.type union
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

#define YYMAXDEPTH 20000
#define YYLLOC_DEFAULT(at, rhs, n)                                                                                     \
    do {                                                                                                               \
        (at).first = (n) ? YYRHSLOC(rhs, 1).first : YYRHSLOC(rhs, 0).last;                                             \
        (at).last = (n) ? YYRHSLOC(rhs, n).last : YYRHSLOC(rhs, 0).last;                                               \
    } while (0)
#define NODE(kind, where, children) node_new(p, kind, 0, where, children)
#define LEAF(kind, where) node_new(p, kind, 0, where, (struct list){0, 0})
#define OF list_of
#define ADD(list, node) list_add(p, list, node)
#define JOIN(a, b) list_join(p, a, b)

static int recipe_lex(YYSTYPE *value, struct token_range *at, struct parser *p)
{
    (void)value;
    return next_token(p, at);
}

static void recipe_error(struct token_range *at, struct parser *p, const char *message)
{
    report_exhausted(p, *at, message);
}
}

%token END 0 "end of the file"
%token NEWLINE 257 "end of the line"
%token NAME 261 "a name" NUMBER 262 "a number" UNIT 263 "a unit" UNIT_TYPE 264 "a unit in [ ]" DATE 265 "a date"
%token TEXT 266 "a text" TEXT_HEAD 267 "a text with {" TEXT_MID 268 "} and more text"
%token TEXT_TAIL 269 "} and the text's end"
%token USE 270 "use" LET 271 "let" DERIVE 272 "derive" FORMULA 273 "formula" LIMIT 274 "limit" REQUIRE 275 "require"
%token WAIVE 276 "waive" CAUTION 277 "caution" STEPS 278 "steps" LIKE 279 "like" FOR 280 "for" EACH 281 "each"
%token AS 282 "as" TABLE 283 "table" TO 284 "to" FIND 285 "find" PREFER 286 "prefer" UNTIL 287 "until"
%token BECAUSE 288 "because" SOURCE 289 "source" REMEDY 290 "remedy" LABEL 291 "label" IF 292 "if" THEN 293 "then"
%token ELSE 294 "else" AND 295 "and" OR 296 "or" NOT 297 "not" TRUE 298 "true" FALSE 299 "false"
%token OPEN_BRACE 300 "{" CLOSE_BRACE 301 "}" OPEN 302 "(" CLOSE 303 ")" COMMA 304 "," COLON 305 ":" DOT 306 "."
%token EQUALS 307 "=" PLUS_MINUS 308 "+/-" RANGE 309 ".." PLUS 310 "+" MINUS 311 "-" PLUS_TIGHT 312 "a signed +"
%token MINUS_TIGHT 313 "a signed -" TIMES 314 "*" DIVIDE 315 "/" POWER 316 "^" LESS 317 "<" LESS_EQUAL 318 "<="
%token GREATER 319 ">" GREATER_EQUAL 320 ">=" SAME 321 "==" DIFFERENT 322 "!="

%precedence ELSE
%left OR
%left AND
%precedence NOT
%nonassoc LESS LESS_EQUAL GREATER GREATER_EQUAL SAME DIFFERENT
%left PLUS MINUS
%left TIMES DIVIDE
%precedence NEGATIVE
%right POWER
%precedence DOT OPEN

%type <uint32_t> item definition definition_name like property property_name name member value expression number
%type <uint32_t> text note unit_type signature parameter path each_head each each_of argument table row cell row_head
%type <uint32_t> derived rule_line date step_line
%type <struct list> items properties property_lines notes parameters list arguments argument_list rows row_lines cells
%type <struct list> derived_lines derived_block rule_lines rule_block steps_block step_lines text_parts path_parts
%type <struct list> optional_unit optional_each optional_prefer waive_for waive_until

%%

file
    : items                         { p->tree->root = NODE(NODE_FILE, @$, $items); }

items
    : %empty                        { $$ = (struct list){0, 0}; }
    | items[all] item NEWLINE       { $$ = ADD($all, $item); }
    | items[all] NEWLINE            { $$ = $all; }
    | items[all] CLOSE_BRACE        { report_stray_brace(p, @2); $$ = $all; }
    | items[all] error NEWLINE      { $$ = ADD($all, LEAF(NODE_ERROR, @2)); yyerrok; }

item
    : definition
    | USE text                      { $$ = NODE(NODE_USE, @$, OF($text)); }
    | LET path optional_unit[unit] EQUALS expression notes
                                    { $$ = NODE(NODE_LET, @$, JOIN(ADD(JOIN(OF($path), $unit), $expression), $notes)); }
    | DERIVE FOR EACH name[kind] AS name[as] derived_block[block]
                                    { $$ = NODE(NODE_DERIVE, @$, JOIN(ADD(OF($kind), $as), $block)); }
    | FORMULA name signature EQUALS expression notes
                                    { $$ = NODE(NODE_FORMULA, @$, JOIN(ADD(ADD(OF($name), $signature), $expression), $notes)); }
    | LIMIT name optional_each[each] rule_block[block]
                                    { $$ = NODE(NODE_LIMIT, @$, JOIN(JOIN(OF($name), $each), $block)); }
    | CAUTION name optional_each[each] rule_block[block]
                                    { $$ = NODE(NODE_CAUTION, @$, JOIN(JOIN(OF($name), $each), $block)); }
    | REQUIRE expression notes      { $$ = NODE(NODE_REQUIRE, @$, JOIN(OF($expression), $notes)); }
    | WAIVE name waive_for waive_until notes
                                    { $$ = NODE(NODE_WAIVE, @$, JOIN(JOIN(JOIN(OF($name), $waive_for), $waive_until), $notes)); }
    | STEPS steps_block[block]      { $$ = NODE(NODE_STEPS, @$, $block); }

waive_for
    : %empty                        { $$ = (struct list){0, 0}; }
    | FOR name                      { $$ = OF($name); }

waive_until
    : %empty                        { $$ = (struct list){0, 0}; }
    | UNTIL date                    { $$ = OF($date); }

/* ---- definitions ---- */

definition
    : name[kind] definition_name[called] like OPEN_BRACE properties CLOSE_BRACE
                                    { $$ = NODE(NODE_DEFINITION, @$, JOIN(ADD(ADD(OF($kind), $called), $like), $properties)); }

definition_name
    : %empty                        { $$ = 0; }
    | name

like
    : %empty                        { $$ = 0; }
    | LIKE name                     { $$ = NODE(NODE_LIKE, @$, OF($name)); }

properties
    : property_lines
    | property_lines[lines] property { $$ = ADD($lines, $property); }
    | property_lines[lines] error   { $$ = ADD($lines, LEAF(NODE_ERROR, @2)); yyerrok; }

property_lines
    : %empty                        { $$ = (struct list){0, 0}; }
    | property_lines[all] NEWLINE   { $$ = $all; }
    | property_lines[all] property NEWLINE
                                    { $$ = ADD($all, $property); }
    | property_lines[all] error NEWLINE
                                    { $$ = ADD($all, LEAF(NODE_ERROR, @2)); yyerrok; }

property
    : property_name[name] EQUALS value notes
                                    { $$ = NODE(NODE_PROPERTY, @$, JOIN(ADD(OF($name), $value), $notes)); }
    | property_name[name] signature EQUALS value notes
                                    { $$ = NODE(NODE_PROPERTY, @$, JOIN(ADD(ADD(OF($name), $signature), $value), $notes)); }
    | name text notes               { $$ = node_flag(p, NODE(NODE_PROPERTY, @$, JOIN(ADD(OF($name), $text), $notes)), NODE_BARE); }

/* In front of = a key word is a name like any other. */
property_name
    : name
    | key_word                      { $$ = LEAF(NODE_NAME, @$); }

key_word
    : USE | LET | DERIVE | FORMULA | LIMIT | REQUIRE | WAIVE | CAUTION | STEPS | LIKE | FOR | EACH | AS | TABLE | TO
    | FIND | PREFER | UNTIL | BECAUSE | SOURCE | REMEDY | LABEL | IF | THEN | ELSE | AND | OR | NOT | TRUE | FALSE

name
    : NAME                          { $$ = LEAF(NODE_NAME, @$); }

member
    : name
    | key_word                      { $$ = LEAF(NODE_NAME, @$); }

path
    : path_parts                    { $$ = NODE(NODE_PATH, @$, $path_parts); }

path_parts
    : name                          { $$ = OF($name); }
    | path_parts[all] DOT member    { $$ = ADD($all, $member); }

signature
    : OPEN parameters CLOSE unit_type
                                    { $$ = NODE(NODE_SIGNATURE, @$, ADD($parameters, $unit_type)); }

parameters
    : parameter                     { $$ = OF($parameter); }
    | parameters[all] COMMA parameter
                                    { $$ = ADD($all, $parameter); }

parameter
    : name unit_type                { $$ = NODE(NODE_PARAMETER, @$, ADD(OF($name), $unit_type)); }

unit_type
    : UNIT_TYPE                     { $$ = LEAF(NODE_UNIT_TYPE, @$); }

optional_unit
    : %empty                        { $$ = (struct list){0, 0}; }
    | unit_type                     { $$ = OF($unit_type); }

notes
    : %empty                        { $$ = (struct list){0, 0}; }
    | notes[all] note               { $$ = ADD($all, $note); }

note
    : BECAUSE text                  { $$ = node_new(p, NODE_NOTE, TOKEN_BECAUSE, @$, OF($text)); }
    | SOURCE text                   { $$ = node_new(p, NODE_NOTE, TOKEN_SOURCE, @$, OF($text)); }
    | REMEDY text                   { $$ = node_new(p, NODE_NOTE, TOKEN_REMEDY, @$, OF($text)); }
    | LABEL text                    { $$ = node_new(p, NODE_NOTE, TOKEN_LABEL, @$, OF($text)); }

/* ---- derive, limit, caution, steps ---- */

derived_block
    : OPEN_BRACE derived_lines CLOSE_BRACE          { $$ = $2; }
    | OPEN_BRACE derived_lines derived CLOSE_BRACE  { $$ = ADD($2, $3); }
    | OPEN_BRACE derived_lines error CLOSE_BRACE    { $$ = ADD($2, LEAF(NODE_ERROR, @3)); yyerrok; }

derived_lines
    : %empty                        { $$ = (struct list){0, 0}; }
    | derived_lines[all] NEWLINE    { $$ = $all; }
    | derived_lines[all] derived NEWLINE
                                    { $$ = ADD($all, $derived); }
    | derived_lines[all] error NEWLINE
                                    { $$ = ADD($all, LEAF(NODE_ERROR, @2)); yyerrok; }

derived
    : name optional_unit[unit] EQUALS expression notes
                                    { $$ = NODE(NODE_DERIVED, @$, JOIN(ADD(JOIN(OF($name), $unit), $expression), $notes)); }

optional_each
    : %empty                        { $$ = (struct list){0, 0}; }
    | FOR each                      { $$ = OF($each); }

each
    : EACH name[kind] AS name[as]   { $$ = NODE(NODE_EACH, @$, ADD(OF($kind), $as)); }

rule_block
    : OPEN_BRACE rule_lines CLOSE_BRACE             { $$ = $2; }
    | OPEN_BRACE rule_lines rule_line CLOSE_BRACE   { $$ = ADD($2, $3); }
    | OPEN_BRACE rule_lines error CLOSE_BRACE       { $$ = ADD($2, LEAF(NODE_ERROR, @3)); yyerrok; }

rule_lines
    : %empty                        { $$ = (struct list){0, 0}; }
    | rule_lines[all] NEWLINE       { $$ = $all; }
    | rule_lines[all] rule_line NEWLINE
                                    { $$ = ADD($all, $rule_line); }
    | rule_lines[all] error NEWLINE { $$ = ADD($all, LEAF(NODE_ERROR, @2)); yyerrok; }

rule_line
    : property
    | note

steps_block
    : OPEN_BRACE step_lines CLOSE_BRACE             { $$ = $2; }
    | OPEN_BRACE step_lines step_line CLOSE_BRACE   { $$ = ADD($2, $3); }
    | OPEN_BRACE step_lines error CLOSE_BRACE       { $$ = ADD($2, LEAF(NODE_ERROR, @3)); yyerrok; }

step_lines
    : %empty                        { $$ = (struct list){0, 0}; }
    | step_lines[all] NEWLINE       { $$ = $all; }
    | step_lines[all] step_line NEWLINE
                                    { $$ = ADD($all, $step_line); }
    | step_lines[all] error NEWLINE { $$ = ADD($all, LEAF(NODE_ERROR, @2)); yyerrok; }

step_line
    : definition

/* ---- values ---- */

value
    : expression
    | expression[nominal] PLUS_MINUS expression[half]
                                    { $$ = NODE(NODE_TOLERANCE, @$, ADD(OF($nominal), $half)); }
    | expression[nominal] PLUS_TIGHT number[plus] MINUS_TIGHT number[minus]
                                    { $$ = NODE(NODE_TOLERANCES, @$, ADD(ADD(OF($nominal), $plus), $minus)); }
    | expression[low] RANGE expression[high]
                                    { $$ = NODE(NODE_RANGE, @$, ADD(OF($low), $high)); }
    | FIND expression[low] RANGE expression[high] optional_prefer[prefer]
                                    { $$ = NODE(NODE_FIND, @$, JOIN(ADD(OF($low), $high), $prefer)); }
    | list                          { $$ = NODE(NODE_LIST, @$, $list); }
    | table

optional_prefer
    : %empty                        { $$ = (struct list){0, 0}; }
    | PREFER name                   { $$ = OF($name); }

list
    : expression[a] COMMA expression[b]
                                    { $$ = ADD(OF($a), $b); }
    | list[all] COMMA expression    { $$ = ADD($all, $expression); }

table
    : TABLE unit_type[in] TO unit_type[out] OPEN_BRACE rows CLOSE_BRACE
                                    { $$ = NODE(NODE_TABLE, @$, JOIN(ADD(OF($in), $out), $rows)); }
    | TABLE unit_type[in] COMMA unit_type[across] TO unit_type[out] OPEN_BRACE rows CLOSE_BRACE
                                    { $$ = NODE(NODE_TABLE, @$, JOIN(ADD(ADD(OF($in), $across), $out), $rows)); }

rows
    : row_lines
    | row_lines[lines] row          { $$ = ADD($lines, $row); }
    | row_lines[lines] error        { $$ = $lines; yyerrok; }

row_lines
    : %empty                        { $$ = (struct list){0, 0}; }
    | row_lines[all] NEWLINE        { $$ = $all; }
    | row_lines[all] row NEWLINE    { $$ = ADD($all, $row); }
    | row_lines[all] error NEWLINE  { $$ = $all; yyerrok; }

row
    : row_head[head] COLON cells    { $$ = NODE(NODE_ROW, @$, JOIN(OF($head), $cells)); }

row_head
    : cell
    | name

cells
    : cell                          { $$ = OF($cell); }
    | cells[all] COMMA cell         { $$ = ADD($all, $cell); }

cell
    : number
    | MINUS_TIGHT number            { $$ = node_flag(p, LEAF(NODE_NUMBER, @$), NODE_NEGATIVE); }

/* ---- expressions ---- */

expression
    : NUMBER                        { $$ = LEAF(NODE_NUMBER, @$); }
    | NUMBER UNIT                   { $$ = LEAF(NODE_NUMBER, @$); }
    | NAME                          { $$ = LEAF(NODE_NAME, @$); }
    | CAUTION                       { $$ = LEAF(NODE_NAME, @$); } /* the signal word */
    | text
    | date
    | TRUE                          { $$ = node_new(p, NODE_BOOLEAN, TOKEN_TRUE, @$, (struct list){0, 0}); }
    | FALSE                         { $$ = node_new(p, NODE_BOOLEAN, TOKEN_FALSE, @$, (struct list){0, 0}); }
    | OPEN expression[x] CLOSE      { $$ = NODE(NODE_PAREN, @$, OF($x)); }
    | expression[of] DOT member     { $$ = NODE(NODE_MEMBER, @$, ADD(OF($of), $member)); }
    | expression[of] OPEN arguments CLOSE
                                    { $$ = NODE(NODE_CALL, @$, JOIN(OF($of), $arguments)); }
    | MINUS_TIGHT expression[x] %prec NEGATIVE
                                    { $$ = node_new(p, NODE_UNARY, TOKEN_MINUS, @$, OF($x)); }
    | NOT expression[x]             { $$ = node_new(p, NODE_UNARY, TOKEN_NOT, @$, OF($x)); }
    | expression[a] PLUS expression[b]          { $$ = node_new(p, NODE_BINARY, TOKEN_PLUS, @$, ADD(OF($a), $b)); }
    | expression[a] MINUS expression[b]         { $$ = node_new(p, NODE_BINARY, TOKEN_MINUS, @$, ADD(OF($a), $b)); }
    | expression[a] TIMES expression[b]         { $$ = node_new(p, NODE_BINARY, TOKEN_TIMES, @$, ADD(OF($a), $b)); }
    | expression[a] DIVIDE expression[b]        { $$ = node_new(p, NODE_BINARY, TOKEN_DIVIDE, @$, ADD(OF($a), $b)); }
    | expression[a] POWER expression[b]         { $$ = node_new(p, NODE_BINARY, TOKEN_POWER, @$, ADD(OF($a), $b)); }
    | expression[a] LESS expression[b]          { $$ = node_new(p, NODE_BINARY, TOKEN_LESS, @$, ADD(OF($a), $b)); }
    | expression[a] LESS_EQUAL expression[b]    { $$ = node_new(p, NODE_BINARY, TOKEN_LESS_EQUAL, @$, ADD(OF($a), $b)); }
    | expression[a] GREATER expression[b]       { $$ = node_new(p, NODE_BINARY, TOKEN_GREATER, @$, ADD(OF($a), $b)); }
    | expression[a] GREATER_EQUAL expression[b] { $$ = node_new(p, NODE_BINARY, TOKEN_GREATER_EQUAL, @$, ADD(OF($a), $b)); }
    | expression[a] SAME expression[b]          { $$ = node_new(p, NODE_BINARY, TOKEN_SAME, @$, ADD(OF($a), $b)); }
    | expression[a] DIFFERENT expression[b]     { $$ = node_new(p, NODE_BINARY, TOKEN_DIFFERENT, @$, ADD(OF($a), $b)); }
    | expression[a] AND expression[b]           { $$ = node_new(p, NODE_BINARY, TOKEN_AND, @$, ADD(OF($a), $b)); }
    | expression[a] OR expression[b]            { $$ = node_new(p, NODE_BINARY, TOKEN_OR, @$, ADD(OF($a), $b)); }
    | IF expression[c] THEN expression[a] ELSE expression[b]
                                    { $$ = NODE(NODE_IF, @$, ADD(ADD(OF($c), $a), $b)); }

number
    : NUMBER                        { $$ = LEAF(NODE_NUMBER, @$); }
    | NUMBER UNIT                   { $$ = LEAF(NODE_NUMBER, @$); }

date
    : DATE                          { $$ = LEAF(NODE_DATE, @$); }

text
    : TEXT                          { $$ = LEAF(NODE_TEXT, @$); }
    | TEXT_HEAD text_parts TEXT_TAIL { $$ = NODE(NODE_TEXT, @$, $text_parts); }

text_parts
    : expression                    { $$ = OF($expression); }
    | text_parts[all] TEXT_MID expression
                                    { $$ = ADD($all, $expression); }

arguments
    : %empty                        { $$ = (struct list){0, 0}; }
    | argument_list

argument_list
    : argument                      { $$ = OF($argument); }
    | argument_list[all] COMMA argument
                                    { $$ = ADD($all, $argument); }

argument
    : expression
    | each_of

/* each draw; each draw as d: d.force; each of h.between as t: t.mass */
each_of
    : EACH each_head[head]          { $$ = NODE(NODE_EACH, @$, OF($head)); }
    | EACH each_head[head] AS name[as] COLON expression
                                    { $$ = NODE(NODE_EACH, @$, ADD(ADD(OF($head), $as), $expression)); }

each_head
    : name
    | name[of] name[list]           { $$ = check_of(p, @of, $list); }
    | name[of] name[list] DOT member { $$ = check_of(p, @of, node_new(p, NODE_MEMBER, 0, (struct token_range){@list.first, @$.last}, ADD(OF($list), $member))); }

%%

static int yyreport_syntax_error(const yypcontext_t *context, struct parser *p)
{
    yysymbol_kind_t expected[YYNTOKENS];
    const char *names[YYNTOKENS];
    int count = yypcontext_expected_tokens(context, expected, YYNTOKENS);
    for (int i = 0; i < count; i++)
        names[i] = yysymbol_name(expected[i]);
    report_syntax(p, *yypcontext_location(context), names, count);
    return 0;
}
