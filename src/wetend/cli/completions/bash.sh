# Completes wetend in Bash.
_wetend() {
    local IFS=$'\n'
    COMPREPLY=($(wetend __complete bash "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null))
    if [[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *= ]]; then
        compopt -o nospace 2>/dev/null
    fi
}
complete -o default -F _wetend wetend
