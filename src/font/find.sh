#!/bin/sh
# Links the faces the program sets in (and their licences) from the distribution's font packages
# into the folder named as argument.
set -eu
to=$1
link() { # NAME PACKAGE-FILE LICENCE-PACKAGE
    if [ ! -r "$2" ]; then
        echo "font file $2 is missing; install the package $3" >&2
        exit 1
    fi
    ln -sfn "$2" "$to/$1"
    [ ! -r "/usr/share/doc/$3/copyright" ] || ln -sfn "/usr/share/doc/$3/copyright" "$to/LICENCE-$3.txt"
}
fonts=/usr/share/fonts/truetype
link OpenSans-Regular.ttf $fonts/open-sans/OpenSans-Regular.ttf fonts-open-sans
link OpenSans-Bold.ttf $fonts/open-sans/OpenSans-Bold.ttf fonts-open-sans
link DejaVuSans.ttf $fonts/dejavu/DejaVuSans.ttf fonts-dejavu-core
link DejaVuSans-Bold.ttf $fonts/dejavu/DejaVuSans-Bold.ttf fonts-dejavu-core
