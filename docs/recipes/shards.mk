# A batch in parts by make: make -j4 -k -f shards.mk PARTS=4 OUT=out FILES="monday.csv tuesday.csv"
# A part that is done is not run again; one that failed is, by the next make. Names without spaces.
ENDFEEL = endfeel
OPTIONS =
PARTS   = 4
OUT     = out
FILES   =
parts   = $(shell seq 0 $$(($(PARTS) - 1)))

$(OUT)/day-index.pdf: $(parts:%=$(OUT)/shard.%-of-$(PARTS))
	$(ENDFEEL) merge $(OUT) || [ $$? = 1 ]

$(OUT)/shard.%-of-$(PARTS): $(FILES)
	$(ENDFEEL) report -q -j1 $(OPTIONS) --shard $*/$(PARTS) -o $(OUT) $(FILES) || [ $$? = 1 ]
.DELETE_ON_ERROR:
