#!/bin/sh
# Prints assembler that carries the files named as arguments, and a table of them
# (struct reference_file of reference_int.h: name, start, size), ended by a NULL name.
set -eu
i=0
echo '.section .rodata'
for f in "$@"; do
    printf 'data%d: .incbin "%s"\nend%d: .byte 0\nname%d: .asciz "%s"\n' $i "$f" $i $i "$(basename "$f")"
    i=$((i + 1))
done
echo '.section .data.rel.ro,"aw"'
echo '.balign 8'
echo '.global reference_embedded'
echo 'reference_embedded:'
n=0
while [ $n -lt $i ]; do
    printf '.quad name%d, data%d, end%d - data%d\n' $n $n $n $n
    n=$((n + 1))
done
echo '.quad 0, 0, 0'
echo '.section .note.GNU-stack,"",@progbits'
