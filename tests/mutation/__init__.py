"""Would a test notice? Every small change to the rules, the match and the causes, tried one by one."""
