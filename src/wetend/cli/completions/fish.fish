# Completes wetend in fish.
function __wetend_complete
    set -l before (commandline -opc)
    set -l token (commandline -ct)
    set -l found (wetend __complete fish $before[2..-1] "$token" 2>/dev/null)
    if test (count $found) -gt 0
        printf '%s\n' $found
    else
        __fish_complete_path "$token"
    end
end
complete -c wetend -f -a '(__wetend_complete)'
