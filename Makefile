# endfeel: build, tests and the main job. `make help` lists the targets.
# User variables (CC, CFLAGS, CPPFLAGS, LDFLAGS, LDLIBS, PREFIX, DESTDIR ...) are added beside the
# project's own flags, so that `make CFLAGS=-O0` keeps working.

VERSION     = 0.1.0
PREFIX      = /usr/local
BINDIR      = $(PREFIX)/bin
DATADIR     = $(PREFIX)/share/endfeel
MANDIR      = $(PREFIX)/share/man
INSTALL     = install
PKG_CONFIG  = pkg-config
PYTHON      = python3
CC         ?= cc
CFLAGS      = -O2 -g
BUILD       = build
Q           = @

# Packages by what needs them; `make` installs what is missing when it may.
PACKAGES_BUILD = pkg-config icc-profiles-free libhpdf-dev libcsv-dev libxml2-dev libharfbuzz-dev zlib1g-dev libdeflate-dev libpng-dev \
                 nettle-dev libgsl-dev libqpdf-dev fonts-open-sans fonts-dejavu-core
PACKAGES_TEST  = check poppler-utils qpdf python3 valgrind libxml2-utils locales \
                 libjaxb-api-java libactivation-java
PACKAGES_LINT  = cppcheck universal-ctags mandoc
PACKAGES_BENCH = python3-reportlab groff
PACKAGES_SCALE = parallel slurmctld slurmd slurm-client munge
PACKAGES_NODE  = nodejs npm
# Validators of others, large and for tests alone: where they cannot be had, a test says what it skips.
PACKAGES_JUDGE = openjdk-17-jre-headless libpdfbox2-java jing
# A spreadsheet program without a screen, for the round trip of check-all.
PACKAGES_OFFICE = libreoffice-calc-nogui
PACKAGES_FUZZ  = clang libclang-rt-dev llvm

# The layer map: a folder may include the folders named here, and base. tests/lint/layers reads it.
FOLDERS = base page font reference model import rules findings agree plan figure layout pdf batch cli
LAYER_base     =
LAYER_page     = base
LAYER_font     = base
LAYER_reference = base
LAYER_model    = reference base
LAYER_import   = model reference base
LAYER_rules    = model reference base
LAYER_findings = rules model agree plan reference base
LAYER_agree    = base
LAYER_plan     = reference base
LAYER_figure   = page base
LAYER_layout   = figure font page base
LAYER_pdf      = font page base
LAYER_batch    = pdf layout findings rules import model agree plan reference figure font page base
LAYER_cli      = batch $(LAYER_batch)

WARN  = -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes \
        -Wvla -Wformat=2 -Wwrite-strings -Wundef $(WERROR)
HARD  = -D_FORTIFY_SOURCE=3 -fstack-protector-strong -fstack-clash-protection -fcf-protection -fPIE
HARDLD = -pie -Wl,-z,relro,-z,now -Wl,-z,noexecstack
PKGS  = libxml-2.0 harfbuzz harfbuzz-subset zlib libdeflate libpng nettle gsl
# Evaluated in recipes only, after set-up has run. A test links what it uses: each library takes a
# while to load.
PKGCF = $(shell $(PKG_CONFIG) --cflags $(PKGS) libqpdf)
PKGLD = -Wl,--as-needed $(shell $(PKG_CONFIG) --libs $(PKGS))
# The name under which protect.c loads libqpdf.
QPDF  = $(shell readelf -d "$$($(PKG_CONFIG) --variable=libdir libqpdf)/libqpdf.so" | \
        sed -n 's/.*SONAME.*\[\(.*\)\]/\1/p')
$(BUILD)/obj/pdf/protect.o: PKGCF += -DENDFEEL_QPDF='"$(QPDF)"'
FLAGS = -std=c11 -D_GNU_SOURCE -Isrc -DENDFEEL_VERSION='"$(VERSION)"' \
        -DENDFEEL_DATADIR='"$(DATADIR)"' $(WARN) $(SAN) -MMD -MP
SANLD = $(SAN)
ifeq ($(strip $(SAN)),)
FLAGS += $(HARD)
SANLD = $(HARDLD)
endif

srcs  = $(wildcard src/$(1)/*.c)
objs  = $(patsubst src/%.c,$(BUILD)/obj/%.o,$(call srcs,$(1)))
REFXML = $(sort $(wildcard src/reference/*.xml))
ARCHIVES = $(FOLDERS:%=$(BUILD)/lib/%.a)
UNIT  = $(patsubst tests/unit/%.c,$(BUILD)/unit/%,$(wildcard tests/unit/test_*.c))
EXTERNAL = $(patsubst tests/external/%.c,$(BUILD)/unit/%,$(wildcard tests/external/test_*.c))
FUZZED = $(patsubst tests/fuzz/%.c,$(BUILD)/fuzz/%,$(wildcard tests/fuzz/fuzz_*.c))
REPLAY = $(FUZZED:$(BUILD)/fuzz/%=$(BUILD)/replay/%)
BENCH = $(patsubst tests/bench/%.c,$(BUILD)/bench/%,$(wildcard tests/bench/*.c))
SHARE = $(BUILD)/share/endfeel

all: $(BUILD)/endfeel $(SHARE)/.stamp $(SHARE)/demo/visit.xml

# ---- set-up -------------------------------------------------------------------------------------
$(BUILD)/.setup-%: Makefile
	@mkdir -p $(BUILD)
	@missing=; for p in $(PACKAGES_$*); do \
	    dpkg-query -W -f='$${Status}' $$p 2>/dev/null | grep -q 'ok installed' || missing="$$missing $$p"; \
	done; \
	if [ -n "$$missing" ]; then \
	    if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
	        echo "setting up:$$missing"; \
	        { apt-get update -qq && DEBIAN_FRONTEND=noninteractive \
	          apt-get install -y -qq --no-install-recommends $$missing; } >$(BUILD)/setup-$*.log 2>&1 \
	        || { tail -5 $(BUILD)/setup-$*.log; echo "could not install:$$missing" >&2; exit 1; }; \
	    else \
	        echo "These packages are missing. Install them and run make again:" >&2; \
	        echo "    sudo apt-get install$$missing" >&2; exit 1; \
	    fi; \
	fi; touch $@

# ---- build --------------------------------------------------------------------------------------
$(BUILD)/obj/%.o: src/%.c | $(BUILD)/.setup-BUILD
	@mkdir -p $(@D)
	$(Q)$(CC) $(FLAGS) $(PKGCF) $(CPPFLAGS) $(CFLAGS) -c -o $@ $<

# The library is made into tables beforehand, by a program that runs here; CC_FOR_BUILD compiles it
# where CC compiles for another machine.
CC_FOR_BUILD = $(CC)
$(BUILD)/embed: src/embed/embed.c src/reference/tree.c $(wildcard src/base/*.c) $(wildcard src/base/*.h) \
        src/reference/tree.h | $(BUILD)/.setup-BUILD
	$(Q)$(CC_FOR_BUILD) -std=c11 -D_GNU_SOURCE -Isrc -DENDFEEL_DATADIR='"$(DATADIR)"' $(WARN) \
	    $(shell $(PKG_CONFIG) --cflags libxml-2.0 nettle) -o $@ $(filter %.c,$^) \
	    $(shell $(PKG_CONFIG) --libs libxml-2.0 nettle) -lm
$(BUILD)/obj/reference/embedded.c: $(BUILD)/embed $(REFXML)
	@mkdir -p $(@D)
	$(Q)$(BUILD)/embed $(REFXML) >$@
$(BUILD)/obj/reference/embedded.o: $(BUILD)/obj/reference/embedded.c
	$(Q)$(CC) $(FLAGS) -Wno-overlength-strings $(CPPFLAGS) $(CFLAGS) -c -o $@ $<

# The colour profile that archive files carry (PDF/A asks for one), from its package.
PROFILE = /usr/share/color/icc/sRGB.icc
$(BUILD)/obj/pdf/profile.S: | $(BUILD)/.setup-BUILD
	@mkdir -p $(@D)
	@printf '%s\n' '.section .rodata' '.global pdf_profile, pdf_profile_size' '.balign 8' \
	    'pdf_profile_size: .quad end - pdf_profile' 'pdf_profile: .incbin "$(PROFILE)"' 'end:' \
	    '.section .note.GNU-stack,"",@progbits' >$@
$(BUILD)/obj/pdf/profile.o: $(BUILD)/obj/pdf/profile.S
	$(Q)$(CC) -c -o $@ $<

define folder_rule
$(BUILD)/lib/$(1).a: $(call objs,$(1)) $(if $(filter reference,$(1)),$(BUILD)/obj/reference/embedded.o) \
        $(if $(filter pdf,$(1)),$(BUILD)/obj/pdf/profile.o)
	@mkdir -p $$(@D)
	@rm -f $$@
	$(Q)ar rcs $$@ $$^
endef
$(foreach f,$(FOLDERS),$(eval $(call folder_rule,$(f))))

$(BUILD)/endfeel: $(BUILD)/lib/cli.a $(LAYER_cli:%=$(BUILD)/lib/%.a)
	$(Q)$(CC) $(CFLAGS) $(SANLD) $(LDFLAGS) -o $@ $^ $(PKGLD) -lcsv -lhpdf -lm $(LDLIBS)

# The program finds templates and fonts beside itself when it runs from the build folder.
$(SHARE)/.stamp: $(wildcard templates/*.xml templates/*/*) | $(BUILD)/.setup-BUILD
	@mkdir -p $(SHARE)/fonts
	@ln -sfn $(abspath templates) $(SHARE)/templates
	@sh src/font/find.sh $(SHARE)/fonts
	@touch $@

# What `endfeel template` tries templates on: every visit of the demo clinic.
$(SHARE)/demo/visit.xml: $(BUILD)/endfeel $(wildcard fixtures/*/*.csv fixtures/clinic.xml)
	@mkdir -p $(@D)
	@$(BUILD)/endfeel findings -q --format xml --every-visit --today 2030-01-01 --clinic fixtures/clinic.xml \
	    --history fixtures/history -o $@ fixtures/day || [ $$? = 1 ]

# ---- tests --------------------------------------------------------------------------------------
# A test named test_FOLDER_topic links that folder and what lies under it.
.SECONDEXPANSION:
folder_of = $(word 2,$(subst _, ,$(1)))
define test_rule
$(BUILD)/unit/%: tests/$(1)/%.c $$$$(BUILD)/lib/$$$$(call folder_of,$$$$*).a \
        $$$$(foreach l,$$$$(LAYER_$$$$(call folder_of,$$$$*)),$$$$(BUILD)/lib/$$$$l.a) | $(BUILD)/.setup-TEST
	@mkdir -p $$(@D)
	$(Q)$$(CC) $$(FLAGS) $$(PKGCF) $$$$($(PKG_CONFIG) --cflags check) $$(CPPFLAGS) $$(CFLAGS) $$(SANLD) \
	    -o $$@ $$(filter %.c %.a,$$^) $$$$($(PKG_CONFIG) --libs check) $$(PKGLD) -lcsv -lhpdf -lm
endef
$(eval $(call test_rule,unit))
$(eval $(call test_rule,external))

tests: $(UNIT) $(EXTERNAL) $(REPLAY)
check: all tests
	-@$(MAKE) --no-print-directory $(BUILD)/.setup-JUDGE
	@BUILD=$(BUILD) PYTHON=$(PYTHON) sh tests/run.sh check
# The library that the table schemas are checked with, for tests alone. Without a network it is left
# out, and its test says so.
node-setup:
	@command -v npm >/dev/null || $(MAKE) --no-print-directory $(BUILD)/.setup-NODE
	@[ -d $(BUILD)/node/node_modules/tableschema ] || \
	    npm install --silent --prefix $(BUILD)/node tableschema@1.12.6 >/dev/null
check-all: all tests
	-@$(MAKE) --no-print-directory --keep-going node-setup $(BUILD)/.setup-JUDGE $(BUILD)/.setup-OFFICE
	@BUILD=$(BUILD) PYTHON=$(PYTHON) sh tests/run.sh check-all
check-scale: all $(BUILD)/.setup-TEST $(BUILD)/.setup-SCALE
	@BUILD=$(BUILD) PYTHON=$(PYTHON) sh tests/scale.sh
bless: all
	@BUILD=$(BUILD) sh tests/run.sh bless $(CASE)
# The text of reports, as tests/pdf/structure.sh holds it: shows what changed and writes it.
bless-text: all
	@BLESS=yes TOP=$(CURDIR) WORK=$$(mktemp -d) ENDFEEL=$(CURDIR)/$(BUILD)/endfeel PYTHON=$(PYTHON) LC_ALL=C \
	    sh tests/pdf/structure.sh
dev:
	$(MAKE) WERROR=-Werror all tests
# gcc's length analysis sees less at -O1 with the sanitizers and warns of what -O2 proves fine.
asan:
	$(MAKE) BUILD=$(BUILD)-asan WERROR='-Werror -Wno-format-truncation' CFLAGS='-O1 -g' \
	    SAN='-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer' asan-run
asan-run: all tests
	@CK_FORK=no BUILD=$(BUILD) PYTHON=$(PYTHON) sh tests/run.sh asan
lint: $(BUILD)/.setup-LINT $(BUILD)/.setup-BUILD
	@sh tests/lint/run.sh

print-layer:
	@echo $(LAYER_$(FOLDER))

# The schema of templates, from the program's own tables.
schema:
	@$(PYTHON) docs/template-schema.py docs/schema

# The list of codes in the manual, from the program's own tables.
manual:
	@sh docs/codes.sh >docs/man/codes.part && \
	sed -i -e '/codes: begin/,/codes: end/{/codes: begin/{p;r docs/man/codes.part' -e '};/codes: end/p;d}' \
	    docs/man/endfeel.1; rm -f docs/man/codes.part

# ---- the main job -------------------------------------------------------------------------------
demo: all
	@sh fixtures/demo.sh $(BUILD)/endfeel out

gallery: all $(BUILD)/.setup-TEST
	@sh fixtures/gallery.sh $(BUILD)/endfeel

$(BUILD)/bench/%: tests/bench/%.c $(ARCHIVES)
	@mkdir -p $(@D)
	$(Q)$(CC) $(FLAGS) $(PKGCF) $(CPPFLAGS) $(CFLAGS) $(SANLD) -o $@ $< \
	    $(LAYER_cli:%=$(BUILD)/lib/%.a) $(PKGLD) -lcsv -lhpdf -lm
$(BUILD)/bench/bench_untagged: tests/bench/bench_untagged.c $(ARCHIVES)
	@mkdir -p $(@D)
	$(Q)$(CC) $(FLAGS) $(PKGCF) $(CPPFLAGS) $(CFLAGS) $(SANLD) -Wl,--wrap=page_tag_begin,--wrap=page_tag_end \
	    -o $@ $< $(BUILD)/lib/cli.a $(LAYER_cli:%=$(BUILD)/lib/%.a) $(PKGLD) -lcsv -lhpdf -lm
bench: all $(BENCH) $(BUILD)/.setup-TEST $(BUILD)/.setup-BENCH
	@BUILD=$(BUILD) PYTHON=$(PYTHON) sh tests/bench/run.sh

# ---- fuzzing: any tests/fuzz/fuzz_NAME.c, see tests/fuzz/fuzz.sh --------------------------------
# A target links the whole program but its command line. $(BUILD)/replay runs kept inputs without
# the fuzzer, with any compiler.
EVERYTHING = $(LAYER_cli:%=$(BUILD)/lib/%.a)
define fuzz_link
@mkdir -p $(@D)
$(Q)$(CC) $(FLAGS) $(1) $(PKGCF) $(CPPFLAGS) $(CFLAGS) $(SANLD) -o $@ $(filter %.c,$^) \
    $(EVERYTHING) $(PKGLD) -lcsv -lhpdf -lm
endef
$(BUILD)/replay/%: tests/fuzz/%.c tests/fuzz/replay.c $(ARCHIVES) | $(BUILD)/.setup-TEST
	$(call fuzz_link,)
$(BUILD)/fuzz/%: tests/fuzz/%.c $(ARCHIVES) | $(BUILD)/.setup-FUZZ
	$(call fuzz_link,-fsanitize=fuzzer)
fuzz: $(BUILD)/.setup-FUZZ
	@$(MAKE) --no-print-directory BUILD=$(BUILD)-fuzz CC=clang CFLAGS='-O1 -g' WERROR= \
	    SAN='-fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all' fuzz-run
fuzz-run: $(SHARE)/.stamp $(FUZZED)
	@BUILD=$(BUILD) sh tests/fuzz/fuzz.sh

# ---- install ------------------------------------------------------------------------------------
install: all
	$(INSTALL) -d $(DESTDIR)$(BINDIR) $(DESTDIR)$(DATADIR)/templates/parts \
	    $(DESTDIR)$(DATADIR)/templates/locale $(DESTDIR)$(DATADIR)/fonts \
	    $(DESTDIR)$(DATADIR)/reference $(DESTDIR)$(MANDIR)/man1
	$(INSTALL) -m 755 $(BUILD)/endfeel $(DESTDIR)$(BINDIR)/endfeel
	$(INSTALL) -m 644 templates/*.xml $(DESTDIR)$(DATADIR)/templates/
	$(INSTALL) -m 644 templates/parts/*.xml $(DESTDIR)$(DATADIR)/templates/parts/
	$(INSTALL) -m 644 templates/locale/*.xml $(DESTDIR)$(DATADIR)/templates/locale/
	$(INSTALL) -d $(DESTDIR)$(DATADIR)/docs/schema && \
	    $(INSTALL) -m 644 docs/schema/template.rn[cg] $(DESTDIR)$(DATADIR)/docs/schema/
	$(INSTALL) -m 644 src/reference/*.xml $(DESTDIR)$(DATADIR)/reference/
	$(INSTALL) -d $(DESTDIR)$(DATADIR)/demo && $(INSTALL) -m 644 $(SHARE)/demo/visit.xml $(DESTDIR)$(DATADIR)/demo/
	cp -L $(SHARE)/fonts/* $(DESTDIR)$(DATADIR)/fonts/ && chmod 644 $(DESTDIR)$(DATADIR)/fonts/*
	$(INSTALL) -m 644 docs/man/endfeel.1 $(DESTDIR)$(MANDIR)/man1/
uninstall:
	rm -f $(DESTDIR)$(BINDIR)/endfeel $(DESTDIR)$(MANDIR)/man1/endfeel.1
	rm -rf $(DESTDIR)$(DATADIR)

clean:
	rm -rf $(BUILD) $(BUILD)-asan $(BUILD)-fuzz
	find out -mindepth 1 ! -name .gitkeep -delete 2>/dev/null || true

help:
	@echo "make            build $(BUILD)/endfeel"
	@echo "make demo       set up, build and render the demo day of fixtures/ into out/"
	@echo "make check      set up, build and run the tests (under a minute)"
	@echo "make check-all  the long tests too: valgrind, cut-anywhere, generated visits, mutants"
	@echo "make check-scale  the recipes of docs/recipes: GNU parallel, make, a Slurm job array"
	@echo "make asan       the tests under AddressSanitizer and UBSan"
	@echo "make fuzz       the fuzz targets, FUZZ_TIME=60 seconds each; FUZZ=csv for one of them"
	@echo "make dev        build everything with warnings as errors"
	@echo "make lint       layers, function and file length, static analysis, manual pages"
	@echo "make gallery    docs/gallery/KIND.png: page one of every kind, from fixtures/"
	@echo "make bench      cost per chart beside a plain libharu program; memory by batch size"
	@echo "make schema     write the schema of templates under docs/schema"
	@echo "make manual     put the list of codes into the manual page"
	@echo "make bless CASE=name   show how a case's output changed and accept it"
	@echo "make install    PREFIX=$(PREFIX), DESTDIR= for packaging; make uninstall undoes it"
	@echo "make clean      remove what was built and rendered"

-include $(shell find $(BUILD)/obj $(BUILD)/unit $(BUILD)/bench -name '*.d' 2>/dev/null)
.PHONY: bless-text schema check-scale manual node-setup fuzz fuzz-run print-layer all tests check check-all bless dev asan asan-run lint demo gallery bench install uninstall clean help
.DELETE_ON_ERROR:
.SECONDARY:
