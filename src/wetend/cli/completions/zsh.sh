#compdef wetend
# Completes wetend in Zsh.
_wetend() {
    local -a found
    found=("${(@f)$(wetend __complete zsh "${(@)words[2,$CURRENT]}" 2>/dev/null)}")
    found=("${(@)found:#}")
    if (( ! $#found )); then
        _files
        return
    fi
    compadd -S '' -- "${(@M)found:#*=}"
    compadd -- "${(@)found:#*=}"
}
if [[ $funcstack[1] == _wetend ]]; then
    _wetend "$@"
else
    compdef _wetend wetend
fi
