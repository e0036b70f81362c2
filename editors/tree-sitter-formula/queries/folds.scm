(section) @fold
