// What a program could do at all: the functions it is linked with.
#pragma once
#include <cstdlib>
#include <fstream>
#include <set>
#include <string>

namespace wetrun::test {

/// Names without versions, as nm (binutils) lists them into `list`; empty if it fails.
inline std::set<std::string> imported_symbols(const std::string& linked, const std::string& list) {
  std::set<std::string> symbols;
  if (std::system(("nm -D --undefined-only '" + linked + "' > '" + list + "'").c_str()) != 0) return symbols;
  std::ifstream words(list);
  for (std::string symbol; words >> symbol;) symbols.insert(symbol.substr(0, symbol.find('@')));
  return symbols;
}

/// Functions that start programs or talk to them.
inline const std::set<std::string> starts_or_talks = {
    "system",  "popen",   "execl",       "execlp",       "execle",  "execv",       "execve",       "execvp",
    "execvpe", "fexecve", "posix_spawn", "posix_spawnp", "fork",    "vfork",       "dlmopen",      "socket",
    "connect", "bind",    "listen",      "accept",       "accept4", "getaddrinfo", "gethostbyname"};

}  // namespace wetrun::test
