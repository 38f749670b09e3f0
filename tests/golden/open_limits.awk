# Of the tables of limits that check prints, only the rows that are open, and those of the limit named OWN: the others come
# and go with what the library has besides. A name that is broken over lines stands in one, and columns stand two blanks
# apart, for their widths come of all rows.
function put_row() {
    if (name != "" && (rest !~ /^(proved|holds)/ || (OWN != "" && index(name " ", OWN " ") == 1)))
        printf "%s  %s\n%s", name, rest, details
    name = details = ""
}
function squeezed(text) {
    sub(/ +$/, "", text)
    gsub(/  +/, "  ", text)
    return text
}
/^Limit +Verdict/ {
    column = index($0, "Verdict")
    inside = 1
    print squeezed($0)
    next
}
inside && (/^$/ || /^and [0-9]+ more with more margin/) {
    put_row()
    inside = 0
    if (/^$/)
        print
    next
}
!inside { print; next }
/^-+ / || (/^ / && !/^      /) { next }
/^ / { details = details $0 "\n"; next }
substr($0, column, 1) != " " && length($0) >= column {
    put_row()
    name = substr($0, 1, column - 1)
    sub(/ +$/, "", name)
    rest = squeezed(substr($0, column))
    next
}
{
    more = substr($0, 1, column - 1)
    sub(/ +$/, "", more)
    name = name (name ~ /-$/ ? "" : " ") more
    rest = rest (length($0) >= column ? " " squeezed(substr($0, column)) : "")
}
END { put_row() }
