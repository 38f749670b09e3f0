# Strokewright. GNU make 4.3 or later. `make help` lists the targets.
#
# Everything made stands under $(B); nothing stands beside the sources. Sources are found by folder, so a new file needs
# no line here. Variants are the same Makefile in another folder:
#   make SAN=1     address and undefined-behaviour sanitizers   build-san
#                  and without what only saves time: each allocation by itself, the library read as a recipe is
#   make COVER=1   counted for coverage                         build-cover
#   make FUZZ=1    clang's fuzzer                               build-fuzz
# CC, CFLAGS, LDFLAGS, PREFIX, DESTDIR and V=1 (show commands) are read as usual.

MAKEFLAGS += --no-builtin-rules --no-print-directory
.SUFFIXES:
.DELETE_ON_ERROR:
.SECONDARY:
.DEFAULT_GOAL := all
SHELL := /bin/bash

PREFIX ?= /usr/local
FUZZ_SECONDS ?= 60
Q := $(if $(V),,@)

# ---- variants ---------------------------------------------------------------------------------------------------------
ifeq ($(origin CC),default)
CC := $(if $(FUZZ),clang,gcc)
endif
CFLAGS ?= -O2 -g

ifdef SAN
B ?= build-san
VARIANT := -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer -DARENA_SEPARATE -DPLAIN_PATHS
else ifdef COVER
B ?= build-cover
# Unoptimized code warns of more than there is.
VARIANT := --coverage -fprofile-update=atomic -O0 -Wno-error
else ifdef FUZZ
B ?= build-fuzz
VARIANT := -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all -DARENA_SEPARATE -DPLAIN_PATHS
else
B ?= build
VARIANT :=
endif

# -ffp-contract=off: the same bytes of output on every machine, whether it has fused multiply-add or not.
STRICT := -std=c11 -D_XOPEN_SOURCE=700 -Wall -Wextra -Wcast-qual -Werror -ffp-contract=off -fPIC -I. -I$(B)/gen
COMPILE = $(CC) $(STRICT) $(EXTRA) $(CFLAGS) $(VARIANT) -MMD -MP -c
LINK = $(CC) $(CFLAGS) $(VARIANT) $(LDFLAGS)

# ---- sources ----------------------------------------------------------------------------------------------------------
# Every folder but those of the command, of the pages and of the build's own programs is part of the library.
sources = $(sort $(foreach folder,$(1),$(wildcard $(folder)/*.c $(folder)/*/*.c $(folder)/*/*/*.c)))
cli_sources := $(call sources,compiler/cli)
pages_sources := $(call sources,compiler/emit/pages)
tool_sources := $(call sources,compiler/tools)
library_sources := $(filter-out $(cli_sources) $(pages_sources) $(tool_sources),$(call sources,runtime grammar compiler))
recipe_library := $(sort $(wildcard recipes/library/*.recipe))
languages := $(sort $(wildcard compiler/languages/*.po))

scanners := $(patsubst grammar/%.l,%,$(wildcard grammar/*.l))
parsers := $(patsubst grammar/%.y,%,$(wildcard grammar/*.y))
generated := $(scanners:%=$(B)/gen/%.lex.c) $(parsers:%=$(B)/gen/%.tab.c)
generated_headers := $(scanners:%=$(B)/gen/%.lex.h) $(parsers:%=$(B)/gen/%.tab.h)

object = $(patsubst %.c,$(B)/obj/%.o,$(1))
library_objects := $(call object,$(library_sources)) $(generated:$(B)/gen/%.c=$(B)/obj/gen/%.o) $(B)/obj/gen/embedded.o \
    $(B)/obj/gen/bound.o $(B)/obj/gen/catalogue_table.o
cli_objects := $(call object,$(cli_sources))
pages_objects := $(call object,$(pages_sources)) $(B)/obj/gen/report_page.o

archive := $(B)/libstrokewright.a
binary := $(if $(cli_sources),$(B)/strokewright)
pages := $(if $(pages_sources),$(B)/strokewright-pages.so)
reference := $(B)/reference

# Asked only when something that needs them is made, so that `make demo` can install pkg-config first.
PAGES_CFLAGS = $(subst -I,-isystem ,$(shell pkg-config --cflags cairo pangocairo libgvc libcgraph libqrencode libqpdf))
GRAPHVIZ = $(shell pkg-config --variable=libdir libgvc)/graphviz
# The two layout plugins are linked in, so that no plugin is searched for: 2 ms of start-up instead of 20.
PAGES_LIBS = $(shell pkg-config --libs cairo pangocairo libgvc libcgraph fontconfig libqrencode libqpdf) \
    -L$(GRAPHVIZ) -l:libgvplugin_dot_layout.so.6 -l:libgvplugin_core.so.6 -Wl,-rpath,$(GRAPHVIZ)
LIBS := -l:libnettle.a -lm -ldl
abi := $(shell sed -n 's/^.define STROKEWRIGHT_ABI \([0-9]*\).*/\1/p' compiler/strokewright.h)
version := $(shell sed -n 's/^.define STROKEWRIGHT_VERSION "\(.*\)"/\1/p' compiler/strokewright.h)

# For other programs: of both, only what strokewright.h declares can be seen. Not of instrumented builds.
shared := $(if $(VARIANT),,$(B)/libstrokewright.so)
static := $(if $(VARIANT),,$(B)/installed/libstrokewright.a)

.PHONY: all
all: $(archive) $(binary) $(pages) $(reference) $(shared) $(static)

# ---- compiling --------------------------------------------------------------------------------------------------------
# A change of compiler or flags makes everything anew.
$(B)/flags: force
	$(Q)mkdir -p $(@D)
	$(Q)echo '$(COMPILE) $(LINK)' | cmp -s - $@ || echo '$(COMPILE) $(LINK)' >$@

.PHONY: force
force:

# Nothing of the library is exported, so its own calls are direct; of the drawing part, its one entry is.
$(filter-out $(B)/obj/gen/%,$(library_objects)) $(cli_objects): private EXTRA := -fvisibility=hidden
# What flex and bison write is held to fewer warnings than what people write.
$(B)/obj/gen/%: private EXTRA := -fvisibility=hidden -Wno-sign-compare -Wno-cast-qual -Wno-unused-function -Wno-unused-but-set-variable
# Only the entry point of pages.h may be seen from outside. GLib's macros cast const away, which clang sees.
$(filter-out $(B)/obj/gen/%,$(pages_objects)): private EXTRA = -fvisibility=hidden -Wno-cast-qual $(PAGES_CFLAGS)
$(B)/obj/gen/report_page.o: private EXTRA = -fvisibility=hidden $(PAGES_CFLAGS)

# Tests hand literals to functions of others that take char *.
$(B)/obj/tests/%.o: private EXTRA += -Wno-cast-qual
$(B)/obj/%.o: %.c $(B)/flags | $(generated_headers)
	@mkdir -p $(@D)
	$(if $(Q),@echo '  CC     $<')
	$(Q)$(COMPILE) -o $@ $<

$(B)/obj/gen/%.o: $(B)/gen/%.c $(B)/flags | $(generated_headers)
	@mkdir -p $(@D)
	$(if $(Q),@echo '  CC     $<')
	$(Q)$(COMPILE) -o $@ $<

# -Cfa, never -CF or -CFe: their tables are read out of bounds on hostile bytes.
$(B)/gen/%.lex.c $(B)/gen/%.lex.h &: grammar/%.l
	@mkdir -p $(@D)
	$(if $(Q),@echo '  FLEX   $<')
	$(Q)flex -Cfa -8 --header-file=$(B)/gen/$*.lex.h -o $(B)/gen/$*.lex.c $<

$(B)/gen/%.tab.c $(B)/gen/%.tab.h &: grammar/%.y
	@mkdir -p $(@D)
	$(if $(Q),@echo '  BISON  $<')
	$(Q)bison -Wall -Werror --defines=$(B)/gen/$*.tab.h -o $(B)/gen/$*.tab.c $<

# The report's style and script as C strings, one line of theirs a line.
$(B)/gen/report_page.c: compiler/emit/pages/report/report.css compiler/emit/pages/report/report.js
	@mkdir -p $(@D)
	$(Q)set -e; { echo '#include "compiler/emit/pages/report/report.h"'; \
	    for name in style:css script:js; do \
	        echo "const char report_$${name%:*}[] ="; \
	        sed 's/[\\"?]/\\&/g; s/^/    "/; s/$$/\\n"/' compiler/emit/pages/report/report.$${name#*:}; echo '    ;'; \
	    done; } >$@

# The list of files is part of the rule: a library file that is removed makes the table anew.
$(B)/gen/embedded.c: $(B)/embed $(recipe_library) $(B)/library-list
	@mkdir -p $(@D)
	$(if $(Q),@echo '  EMBED  recipes/library')
	$(Q)$(B)/embed $(recipe_library) >$@

$(B)/library-list: force
	$(Q)mkdir -p $(@D)
	$(Q)echo '$(recipe_library)' | cmp -s - $@ || echo '$(recipe_library)' >$@

# What its words mean is looked up here too, by the compiler without that table.
$(B)/gen/bound.c: $(B)/bind
	$(if $(Q),@echo '  BIND   recipes/library')
	$(Q)$(B)/bind >$@

# ---- languages --------------------------------------------------------------------------------------------------------
# The catalogues stand in the program as one table. msgfmt reads them; what is fuzzy or missing is said in English.
$(B)/gen/languages/%.mo: compiler/languages/%.po
	@mkdir -p $(@D)
	$(if $(Q),@echo '  MSGFMT $<')
	$(Q)msgfmt --check --endianness=little -o $@ $<

$(B)/gen/catalogue_table.c: $(B)/catalogue $(languages:compiler/%.po=$(B)/gen/%.mo)
	$(Q)$(B)/catalogue $(filter %.mo,$^) >$@

# What there is to translate: from C by xgettext, from the library and the schema by a tool of ours.
SAID_KEYWORDS := paper_said:2 paper_label:2 paper_label_lines:2 report_said:2 SAY SAY_IN:1c,2 said:2 said_in:2c,3 SAID:3 SAID_COUNT:3,4
said_sources := $(filter-out compiler/tools/% compiler/text/said.h,$(sort $(foreach depth,*/ */*/ */*/*/,$(wildcard compiler/$(depth)*.[ch])) \
    $(wildcard compiler/*.[ch] compiler/*/reasons.def)))
$(B)/strokewright.pot: $(B)/extract $(said_sources)
	@mkdir -p $(B)/gen/languages
	$(Q)xgettext --from-code=UTF-8 --language=C --no-wrap --add-location=file --keyword $(SAID_KEYWORDS:%=--keyword=%) \
	    --package-name=strokewright --sort-by-file -o $(B)/gen/languages/c.pot $(said_sources)
	$(Q)$(B)/extract >$(B)/gen/languages/library.pot
	$(Q)msgcat --no-wrap --no-location --sort-output --use-first $(B)/gen/languages/c.pot $(B)/gen/languages/library.pot | \
	    sed '/^"POT-Creation-Date:/d' >$@

.PHONY: languages
languages: $(B)/strokewright.pot
	@for po in $(languages); do msgmerge --quiet --update --backup=none --no-wrap --no-location --sort-output $$po $<; \
	    echo "$$po: $$(msgfmt --statistics -o /dev/null $$po 2>&1)"; done

$(archive): $(library_objects)
	$(if $(Q),@echo '  AR     $@')
	$(Q)rm -f $@ && ar rcs $@ $^

$(B)/libstrokewright.so: $(library_objects)
	$(if $(Q),@echo '  LINK   $@')
	$(Q)$(LINK) -shared -Wl,-soname,libstrokewright.so.$(abi) -Wl,--exclude-libs,ALL -Wl,-z,defs -o $@ $^ $(LIBS)

$(B)/installed/libstrokewright.a: $(library_objects)
	@mkdir -p $(@D)
	$(if $(Q),@echo '  AR     $@')
	$(Q)ld -r -o $(@D)/strokewright.o $^ && objcopy --localize-hidden $(@D)/strokewright.o
	$(Q)rm -f $@ && ar rcs $@ $(@D)/strokewright.o

$(B)/strokewright: $(cli_objects) $(archive)
	$(if $(Q),@echo '  LINK   $@')
	$(Q)$(LINK) -o $@ $^ $(LIBS)

# Only a run that makes pages loads this, and with it Cairo, Pango and Graphviz.
$(B)/strokewright-pages.so: $(pages_objects) $(archive)
	$(if $(Q),@echo '  LINK   $@')
	$(Q)$(LINK) -shared -Wl,--exclude-libs,ALL -o $@ $^ $(PAGES_LIBS) $(LIBS)

# ---- programs of the build ---------------------------------------------------------------------------------------------
# Each compiler/tools/NAME.c without a _ in its name is one, with compiler/tools/NAME_*.c. It is linked with the library, or,
# where it makes a part of the library, with what is there before: its NAME_needs.
tools := $(foreach source,$(tool_sources),$(if $(findstring _,$(notdir $(source))),,$(basename $(notdir $(source)))))
# Reads the library with the parser itself, so the binary finds its trees ready made.
embed_needs := $(call object,$(wildcard runtime/base/*.c grammar/*.c) \
    $(addprefix compiler/text/,source.c diagnostic.c nearest.c render.c render_line.c unit.c unit_meant.c dimension.c) \
    compiler/model/syntax.c) \
    $(generated:$(B)/gen/%.c=$(B)/obj/gen/%.o)
bind_needs := $(filter-out $(B)/obj/gen/bound.o,$(library_objects))
catalogue_needs := $(call object,compiler/text/language.c $(wildcard runtime/base/*.c))

define tool_rule
$(B)/$(1): $(call object,compiler/tools/$(1).c $(wildcard compiler/tools/$(1)_*.c)) $(or $($(1)_needs),$(archive))
	$$(if $$(Q),@echo '  LINK   $$@')
	$$(Q)$$(LINK) -o $$@ $$^ $$(LIBS)
endef
$(foreach tool,$(tools),$(eval $(call tool_rule,$(tool))))

# ---- demo -------------------------------------------------------------------------------------------------------------
.PHONY: demo
demo:
	@.ci/install.sh build run
	@$(MAKE) all
	@mkdir -p $(B)/demo
	@$(B)/strokewright build recipes/demo/river-logger-lid.recipe --out $(B)/demo/river-logger-lid
	@echo 'Open $(B)/demo/river-logger-lid/traveller.pdf first: the sheet the shop works from. The .svg opens in a browser.'

# ---- tests ------------------------------------------------------------------------------------------------------------
# Each tests/unit/test_*.c and tests/reference/*.c is one program on the library. Helpers they share are sample_*.c.
# A program that needs a further library says so in a comment line " * link: -ludunits2"; one that uses a library where
# it is there, and skips a part where it is not, in a line " * link if mpfi.h: -lmpfi".
unit_programs := $(patsubst %.c,$(B)/%,$(wildcard tests/unit/test_*.c))
reference_programs := $(patsubst %.c,$(B)/%,$(filter-out tests/reference/sample_%,$(wildcard tests/reference/*.c)))
bench_programs := $(patsubst %.c,$(B)/%,$(filter-out tests/bench/sample_%,$(wildcard tests/bench/*.c)))
fuzz_programs := $(patsubst %.c,$(B)/%,$(wildcard tests/fuzz/fuzz_*.c))
test_programs := $(unit_programs) $(reference_programs) $(bench_programs)
sample_objects := $(call object,$(wildcard tests/*/sample_*.c))
CHECK_LIBS = $(shell pkg-config --libs check)
asked_libs = $(shell sed -n 's/^ \* link: \(-[^*]*\).*/\1/p' $(1)) $(optional_libs)
optional_libs = $(shell sed -n 's/^ \* link if \([^:]*\): \(-[^*]*\).*/\1 \2/p' $(1) | while read -r header libs; do \
    printf '\043include <%s>\n' "$$header" | $(CC) -E -x c - >/dev/null 2>&1 && echo "$$libs"; done)

$(test_programs): $(B)/tests/%: $(B)/obj/tests/%.o $(sample_objects) $(archive)
	@mkdir -p $(@D)
	$(if $(Q),@echo '  LINK   $@')
	$(Q)$(LINK) -o $@ $^ $(CHECK_LIBS) $(call asked_libs,tests/$*.c) $(LIBS)

# Of the command and of the pages, what a target asks for.
$(B)/libfuzzed.a: $(filter-out %/main.o,$(cli_objects)) $(pages_objects) $(sample_objects)
	$(if $(Q),@echo '  AR     $@')
	$(Q)rm -f $@ && ar rcs $@ $^

$(fuzz_programs): $(B)/tests/%: $(B)/obj/tests/%.o $(B)/libfuzzed.a $(archive)
	@mkdir -p $(@D)
	$(if $(Q),@echo '  LINK   $@')
	$(Q)$(LINK) -fsanitize=fuzzer -o $@ $^ $(PAGES_LIBS) $(LIBS)

# Shows certificates again: another language, another library of intervals, none of our code.
checker_sources := $(wildcard tests/checker/*.cc)
$(B)/checker: $(checker_sources) $(wildcard tests/checker/*.hh)
	@mkdir -p $(@D)
	$(if $(Q),@echo '  CXX    $@')
	$(Q)g++ -std=c++17 -O2 -Wall -Wextra -Werror -o $@ $(checker_sources) -lmpfi -lmpfr -lgmp -lnettle

.PHONY: test test-programs test-run
test:
	@.ci/install.sh build run test
	@$(MAKE) test-run
	@$(MAKE) test-run SAN=1
	@tests/tally.sh build build-san

# One configuration: `make test-run`, `make test-run SAN=1`, `make test-run ONLY=golden`.
test-run: all test-programs
	@B=$(B) tests/run.sh $(ONLY)

# What must hold before a release beside `make test`: the rules about the repository, with no warning left.
.PHONY: release-check
release-check: all test-programs
	@RELEASE=1 B=$(B) tests/run.sh meta

# The benchmarks are not run by the tests, but must build.
test-programs: $(test_programs) $(B)/strokewright.pot $(B)/checker

.PHONY: language
language: $(reference)
	@$(reference) grammar/LANGUAGE.md

.PHONY: bless
bless: all
	@STROKEWRIGHT=$(B)/strokewright python3 tests/golden/run.py --bless

.PHONY: fuzz fuzz-programs
fuzz:
	@.ci/install.sh build test
	@$(MAKE) FUZZ=1 fuzz-programs
	@B=build-fuzz tests/fuzz/run.sh $(FUZZ_SECONDS)

fuzz-programs: $(fuzz_programs)

# Points of random hostile programs that what is said of boxes is held against, beyond those of `make test`.
SAMPLES ?= 1e7
.PHONY: samples
samples:
	@.ci/install.sh build test
	@$(MAKE) $(B)/tests/unit/test_hostile
	@STROKEWRIGHT_SAMPLES=$(SAMPLES) STROKEWRIGHT_SEED=$${SEED:-$$RANDOM} $(B)/tests/unit/test_hostile

.PHONY: mutants
mutants:
	@.ci/install.sh build run test
	@$(MAKE) all test-programs
	@python3 tests/mutants/run.py --build $(B)

.PHONY: bench
bench:
	@.ci/install.sh build run test
	@$(MAKE) all bench-programs
	@B=$(B) tests/bench/run.sh

.PHONY: bench-programs
bench-programs: $(bench_programs)

# Of unit tests and golden cases together, programs of the build left out. Branches, in percent, that may not be fewer.
COVER_FLOOR := 84
.PHONY: cover
cover:
	@.ci/install.sh build run test
	@$(MAKE) COVER=1 all test-programs
	@find build-cover -name '*.gcda' -delete
	@B=build-cover CK_DEFAULT_TIMEOUT=600 CASE_SECONDS=120 TEST_SECONDS=3000 tests/run.sh unit golden
	@gcovr --root . --object-directory build-cover --filter 'runtime/' --filter 'compiler/' --filter 'grammar/' \
	    --exclude 'compiler/tools/' --exclude-unreachable-branches --gcov-ignore-parse-errors \
	    --fail-under-branch $(COVER_FLOOR) --html-details build-cover/coverage.html --print-summary build-cover 2>build-cover/gcovr.log
	@echo 'Line by line: build-cover/coverage.html'

.PHONY: lint
lint:
	@.ci/install.sh build test
	@$(MAKE) all
	@B=$(B) FLAGS='$(STRICT) $(PAGES_CFLAGS)' .ci/lint.sh

# ---- installing -------------------------------------------------------------------------------------------------------
D := $(DESTDIR)$(PREFIX)
.PHONY: install uninstall
install: all
	install -d "$(D)/bin" "$(D)/lib/strokewright" "$(D)/share/man/man1" "$(D)/share/man/man5" \
	    "$(D)/share/bash-completion/completions" "$(D)/share/strokewright"
	install -m 755 $(B)/strokewright "$(D)/bin"
	install -m 644 $(B)/strokewright-pages.so "$(D)/lib/strokewright"
	install -d "$(D)/include" "$(D)/lib/pkgconfig"
	install -m 644 compiler/strokewright.h "$(D)/include"
	$(if $(static),install -m 644 $(static) "$(D)/lib")
	$(if $(shared),install -m 644 $(shared) "$(D)/lib/libstrokewright.so.$(abi)")
	$(if $(shared),ln -sf libstrokewright.so.$(abi) "$(D)/lib/libstrokewright.so")
	sed 's|@PREFIX@|$(PREFIX)|; s|@VERSION@|$(version)|' compiler/strokewright.pc.in >"$(D)/lib/pkgconfig/strokewright.pc"
	install -m 644 compiler/cli/man/*.1 "$(D)/share/man/man1"
	install -m 644 compiler/cli/man/*.5 "$(D)/share/man/man5"
	install -m 644 compiler/cli/completion/strokewright.bash "$(D)/share/bash-completion/completions/strokewright"
	install -m 644 $(wildcard compiler/emit/*.schema.json) grammar/LANGUAGE.md "$(D)/share/strokewright"
	cd recipes && find demo -name '*.recipe' -exec install -D -m 644 {} "$(abspath $(D))"/share/strokewright/{} \;

uninstall:
	rm -f "$(D)/include/strokewright.h" "$(D)/lib/libstrokewright.a" "$(D)/lib/libstrokewright.so" \
	    "$(D)/lib/libstrokewright.so.$(abi)" "$(D)/lib/pkgconfig/strokewright.pc"
	rm -f "$(D)/bin/strokewright" $(patsubst %,"$(D)/share/man/man1"/%,$(notdir $(wildcard compiler/cli/man/*.1))) \
	    $(patsubst %,"$(D)/share/man/man5"/%,$(notdir $(wildcard compiler/cli/man/*.5))) \
	    "$(D)/share/bash-completion/completions/strokewright"
	rm -rf "$(D)/lib/strokewright" "$(D)/share/strokewright"

# ---- cleaning and help ------------------------------------------------------------------------------------------------
.PHONY: clean help
clean:
	rm -rf build build-san build-cover build-fuzz

help:
	@echo 'make             build the command into build/'
	@echo 'make demo        install what is missing, build, compile the demo recipe, say what to open'
	@echo 'make test        install what is missing, run every test in a release and in a sanitized build'
	@echo 'make test-run    the tests of one build (SAN=1: sanitized; ONLY=unit|reference|golden|meta)'
	@echo 'make release-check  what a release needs besides: no text without its translation'
	@echo 'make languages   renew the catalogues of compiler/languages/ from the texts of the sources and the library'
	@echo 'make language    renew the tables of grammar/LANGUAGE.md from the schema, the units, the functions, the faults'
	@echo 'make bless       rewrite the expected outputs of tests/golden; read the difference before committing'
	@echo 'make fuzz        feed hostile recipes for FUZZ_SECONDS (60)'
	@echo 'make mutants     plant the faults of tests/mutants/list.tsv one by one; each must be noticed'
	@echo 'make bench       measure speed and memory'
	@echo 'make samples     hold proofs against SAMPLES=1e7 points of random programs'
	@echo 'make lint        layout, slips, layers, headers, global data, scripts, manual pages'
	@echo 'make cover       test coverage'
	@echo 'make install     into PREFIX (/usr/local), under DESTDIR if given; make uninstall takes it out'
	@echo 'make clean       remove everything built'

-include $(wildcard $(B)/obj/*.d $(B)/obj/*/*.d $(B)/obj/*/*/*.d $(B)/obj/*/*/*/*.d $(B)/obj/*/*/*/*/*.d)
