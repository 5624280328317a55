// Skids to draw, made of the demo skid: some with arrays taken out or added, one without any.
#pragma once
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "engine/file/table.h"
#include "models/skid/skid.h"
#include "tests/support/rig.h"

namespace wetrun::test {

inline std::string ostrey_text() {
  std::ifstream file(WETRUN_SOURCE_DIR "/scenarios/skids/ostrey.toml");
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

/// Takes out the tables [unit.NAME...] and [[unit.NAME...]] of each name.
inline std::string without(const std::string& text, const std::vector<std::string>& names) {
  std::stringstream in(text);
  std::string line, out;
  bool skipping = false;
  while (std::getline(in, line)) {
    if (!line.empty() && line[0] == '[') {
      skipping = false;
      for (const std::string& name : names)
        for (const char* after : {"]", "."}) skipping = skipping || line.find(name + after) != std::string::npos;
    }
    if (!skipping) out += line + "\n";
  }
  return out;
}

inline std::string replaced(std::string text, const std::string& from, const std::string& to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
    text.replace(at, from.size(), to);
  return text;
}

/// The tables of array 2 and its valves and nodes once more, under another name.
inline std::string another_array(const std::string& name) {
  std::string out;
  for (const char* end : {"feed", "concentrate", "permeate"})
    out += "[node." + name + "_" + end + "]\nelevation = \"1.2 m\"\nvolume = \"8 L\"\n";
  const auto valve = [&](const std::string& unit, const std::string& from, const std::string& to) {
    out += "[unit." + unit + "]\ntype = \"valve\"\nfrom = \"" + from + "\"\nto = \"" + to +
           "\"\nkv = \"40 m3/h/bar^0.5\"\ncharacteristic = \"ball\"\nstroke = \"3 s\"\n";
  };
  valve(name + "_inlet", "supply", name + "_feed");
  out += "[unit." + name + "]\ntype = \"array\"\nfeed = \"" + name + "_feed\"\nconcentrate = \"" + name +
         "_concentrate\"\npermeate = \"" + name + "_permeate\"\nelevation = \"1.2 m\"\nvessels = 3\nelements = 5\n";
  valve(name + "_outlet", name + "_concentrate", "concentrate_return");
  valve(name + "_product", name + "_permeate", "permeate_return");
  return out;
}

struct NamedSkid {
  std::string name, text;
};

inline std::vector<NamedSkid> skids() {
  const std::string ostrey = ostrey_text();
  const std::vector<std::string> stack = {"unit.stack",
                                          "unit.stack_feed_valve",
                                          "unit.stack_concentrate_valve",
                                          "unit.stack_product_valve",
                                          "node.stack_feed",
                                          "node.stack_concentrate",
                                          "node.stack_product"};
  const std::vector<std::string> array_2 = {
      "unit.array_2",      "unit.array_2_feed_valve",  "unit.array_2_concentrate_valve", "unit.array_2_permeate_valve",
      "node.array_2_feed", "node.array_2_concentrate", "node.array_2_permeate"};
  std::string four = ostrey + another_array("third") + another_array("fourth");
  four +=
      "[unit.third_gauge]\ntype = \"gauge\"\nat = \"third_feed\"\nhigh = \"6 bar\"\n"
      "[unit.spare_pump]\ntype = \"pump\"\nfrom = \"pump_inlet\"\nto = \"discharge\"\nrated_flow = \"36 "
      "m3/h\"\nrated_head = \"42 m\"\n"
      "leak_to = \"floor.in\"\n";
  std::string renamed = replaced(replaced(ostrey, "flow_valve", "throttle"), "array_1", "rack_a");
  renamed = replaced(replaced(renamed, "concentrate_return", "brine_line"), "discharge", "pressure_side");
  return {{"ostrey", ostrey},
          {"one array", without(without(ostrey, stack), array_2)},
          {"no stack", without(ostrey, stack)},
          {"four arrays, a gauge and a spare pump", four},
          {"other names", renamed},
          {"no arrays", rig_text}};
}

inline std::shared_ptr<const Plant> plant_of(const NamedSkid& skid) {
  return build_skid(Document::parse(skid.text, skid.name)).plant;
}

}  // namespace wetrun::test
