# bash completion for strokewright
# shellcheck shell=bash disable=SC2207 # words have no blanks
_strokewright()
{
    local word=${COMP_WORDS[COMP_CWORD]} previous=${COMP_WORDS[COMP_CWORD - 1]} verb=${COMP_WORDS[1]} options
    COMPREPLY=()
    if [ "$COMP_CWORD" -eq 1 ]; then
        COMPREPLY=($(compgen -W "$("$1" --help 2>/dev/null | awk '/^  [a-z-]+ /{ print $1 }')" -- "$word"))
        return
    fi
    # What the verb's own help names.
    options=$("$1" "$verb" --help 2>/dev/null | grep -oE -- '--[a-z][a-z-]*' | sort -u)
    [ -n "$options" ] || return
    options="$options --help"
    if [ "$verb" = compare ] && [ "$previous" = --format ]; then
        COMPREPLY=($(compgen -W 'text markdown html json' -- "$word"))
        return
    fi
    if [ "$verb" = check ] && [ "$previous" = --format ]; then
        COMPREPLY=($(compgen -W 'text json sarif' -- "$word"))
        return
    fi
    if [ "$verb" = explain ] && [[ $word != -* ]]; then
        COMPREPLY=($(compgen -W "$(for topic in $(strokewright explain 2>/dev/null | cut -d ' ' -f 1); do echo "$topic"; strokewright explain "$topic" 2>/dev/null | cut -d ' ' -f 1; done)" -- "$word"))
        return
    fi
    if [[ $verb == build || $verb == window ]] && [ "$previous" = --out ]; then
        compopt -o dirnames
        return
    fi
    if [ "$verb" = build ] && [ "$previous" = --only ]; then
        COMPREPLY=($(compgen -W "$("$1" build --help 2>/dev/null | sed '1,/^Outputs:/d' | awk '{ print $1 }')" -- "$word"))
        return
    fi
    if [ "$verb" = build ] && [ "$previous" = --paper ]; then
        COMPREPLY=($(compgen -W 'a4 letter' -- "$word"))
        return
    fi
    if [ "$previous" = --lang ] && [[ $options == *--lang* ]]; then
        COMPREPLY=($(compgen -W 'en de es ja' -- "$word"))
        return
    fi
    if [ "$verb" = why ] && [ "$previous" = --depth ]; then
        COMPREPLY=($(compgen -W '1 2 3 4 5 6 8 10' -- "$word"))
        return
    fi
    if [ "$verb" = uncertainty ] && [[ $previous == --samples || $previous == --seed || $previous == --coverage ]]; then
        [ "$previous" != --samples ] || COMPREPLY=($(compgen -W '10000 100000 1000000' -- "$word"))
        [ "$previous" != --coverage ] || COMPREPLY=($(compgen -W '95 95.45 99 99.73' -- "$word"))
        return
    fi
    if [ "$previous" = --readings ]; then
        compopt -o filenames
        COMPREPLY=($(compgen -f -X '!*.csv' -- "$word") $(compgen -d -- "$word"))
        return
    fi
    if [ "$verb" = fit ] && [[ $previous == --decimal || $previous == --separator ]]; then
        [ "$previous" = --decimal ] && COMPREPLY=($(compgen -W 'point comma' -- "$word"))
        [ "$previous" = --separator ] && COMPREPLY=($(compgen -W 'comma semicolon tab' -- "$word"))
        return
    fi
    if [ "$verb" = why ] && [ "$previous" = --graph ]; then
        compopt -o filenames
        COMPREPLY=($(compgen -f -X '!*.@(dot|svg)' -- "$word") $(compgen -d -- "$word"))
        return
    fi
    if [[ $word == -* ]]; then
        COMPREPLY=($(compgen -W "$options" -- "$word"))
        return
    fi
    # value FILE NAME, why FILE NAME, uncertainty FILE NAME: the names the recipe has, once a file is there.
    if [ "$verb" = value ] || [ "$verb" = why ] || [ "$verb" = history ] || [ "$verb" = uncertainty ]; then
        local file
        for file in "${COMP_WORDS[@]:2:COMP_CWORD-2}"; do
            if [[ $file == *.recipe && -r $file ]]; then
                COMPREPLY=($(compgen -W "$("$1" value "$file" 2>/dev/null | cut -d ' ' -f 1)" -- "$word"))
                return
            fi
        done
    fi
    compopt -o filenames
    COMPREPLY=($(compgen -f -X '!*.recipe' -- "$word") $(compgen -d -- "$word"))
}
complete -F _strokewright strokewright
