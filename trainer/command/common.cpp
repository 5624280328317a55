// What the verbs share: see verbs.h.
#include <CLI/CLI.hpp>

#include "trainer/command/verbs.h"

namespace wetrun {

std::vector<Override> Common::overrides() const {
  std::vector<Override> list;
  for (const std::string& text : sets) list.push_back(parse_override(text));
  return list;
}

std::string not_empty(const std::string& value) { return value.empty() ? "the value is empty" : ""; }

void add_common(CLI::App& verb, Common& common, bool with_sets) {
  verb.add_flag("--json", common.json, "JSON on standard output; text for people goes to standard error");
  verb.add_option("--out", common.out, "folder for the results (made if need be)")
      ->option_text("DIR")
      ->check(not_empty);
  if (with_sets)
    verb.add_option("--set", common.sets, "override a value of a loaded file, e.g. tank.volume=\"1.4 m3\"; repeatable")
        ->option_text("PATH=VALUE")
        ->take_all()
        ->expected(1);
}

}  // namespace wetrun
