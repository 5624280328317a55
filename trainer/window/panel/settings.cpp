// Units, sound and text size; what a simulator is and is not.
#include <algorithm>
#include <cmath>

#include "trainer/window/panel/panels.h"

namespace wetrun::ui {
namespace {

struct Unit {
  const char *value, *words;
};

/// A row: what is chosen on the left, the choices on the right.
void unit_row(Kit& kit, const std::string& name, const char* words, const std::vector<Unit>& units,
              std::string& value) {
  std::vector<std::string> labels;
  std::size_t chosen = 0;
  for (std::size_t i = 0; i < units.size(); ++i) {
    labels.emplace_back(units[i].words);
    if (value == units[i].value) chosen = i;
  }
  const float top = ImGui::GetCursorPosY();
  ImGui::SetCursorPosY(top + kit.px(5));
  text(kit, Type::body, words, kit.colour.ink, name + "/words");
  ImGui::SetCursorPosY(top);
  ImGui::SetCursorPosX(kit.px(16 + 120));
  if (choice(kit, name, labels, chosen)) value = units[chosen].value;
  gap(kit, 8);
}

void slider_row(Kit& kit, const std::string& name, const char* words, float& value, float low, float high,
                const char* format, float factor) {
  const float top = ImGui::GetCursorPosY();
  ImGui::SetCursorPosY(top + kit.px(4));
  text(kit, Type::body, words, kit.colour.ink, name + "/words");
  ImGui::SetCursorPosY(top);
  ImGui::SetCursorPosX(kit.px(16 + 120));
  float shown = value * factor;
  if (slider(kit, name, "", shown, low * factor, high * factor, format)) value = std::clamp(shown / factor, low, high);
  gap(kit, 8);
}

void heading(Kit& kit, const char* words) {
  gap(kit, 12);
  text(kit, Type::small, words, kit.colour.ink_soft);
  gap(kit, 6);
}

}  // namespace

void settings(Stage& stage, const Box& screen, bool& open) {
  Kit& kit = stage.kit;
  const float wide = std::min(kit.px(520), screen.width() - kit.px(24));
  const float high = std::min(kit.px(556), screen.height() - kit.px(24));
  const Point middle = screen.middle();
  const Box place{std::round(middle.x - wide / 2), std::round(middle.y - high / 2), std::round(middle.x + wide / 2),
                  std::round(middle.y + high / 2)};
  Preferences wanted = stage.preferences;
  kit.boxes->push_layer("settings");
  begin_panel(kit, "settings", place, "", true);
  if (ImGui::IsWindowAppearing()) ImGui::SetWindowFocus();
  text(kit, Type::title, "Settings", kit.colour.ink, "settings/title");
  heading(kit, "UNITS");
  unit_row(kit, "settings/pressure", "Pressure", {{"bar", "bar"}, {"psi", "psi"}, {"kPa", "kPa"}}, wanted.pressure);
  unit_row(kit, "settings/flow", "Flow", {{"m3/h", "m³/h"}, {"gpm", "gpm"}, {"L/min", "L/min"}}, wanted.flow);
  unit_row(kit, "settings/temperature", "Temperature", {{"degC", "°C"}, {"degF", "°F"}}, wanted.temperature);
  heading(kit, "SOUND AND TEXT");
  tick(kit, "settings/sound", "Pump, relief, spray and spill can be heard", wanted.sound);
  gap(kit, 8);
  slider_row(kit, "settings/volume", "Volume", wanted.volume, 0, 1, "%.0f %%", 100);
  // The size of text changes the whole layout, so it moves only in steps.
  std::vector<Unit> sizes = {{"0.8", "80 %"}, {"0.9", "90 %"}, {"1", "100 %"}, {"1.2", "120 %"}, {"1.3", "130 %"}};
  constexpr float steps[] = {0.8F, 0.9F, 1.0F, 1.2F, 1.3F};
  std::size_t nearest = 0;
  for (std::size_t i = 1; i < std::size(steps); ++i)
    if (std::abs(steps[i] - wanted.text_scale) < std::abs(steps[nearest] - wanted.text_scale)) nearest = i;
  std::string size = sizes[nearest].value;
  unit_row(kit, "settings/text", "Text size", sizes, size);
  for (std::size_t i = 0; i < sizes.size(); ++i)
    if (size == sizes[i].value && i != nearest) wanted.text_scale = steps[i];
  heading(kit, "WHAT THIS IS");
  paragraph(
      kit, Type::body,
      "Wetrun rehearses the chemical cleaning of membranes on a simulated skid. It certifies nobody. On a real skid "
      "the "
      "safety data sheets, the maker's limits, local codes and your site's permits decide, and electrical work is for "
      "licensed people.",
      kit.colour.ink, "settings/about");
  gap(kit, 14);
  if (button(kit, "settings/close", "Done", Weight::main)) open = false;
  if (stage.signals.size() > 0) {
    ImGui::SameLine();
    if (button(kit, "settings/walk", "Guided walk again", Weight::quiet)) {
      stage.requests.push_back(request::Walk{true});
      open = false;
    }
  }
  const ImGuiIO& io = ImGui::GetIO();
  if (ImGui::IsMouseClicked(0) && !ImGui::IsWindowAppearing() && !place.holds(Point{io.MousePos.x, io.MousePos.y}))
    open = false;
  end_panel(kit);
  kit.boxes->pop_layer();
  if (!(wanted == stage.preferences)) stage.requests.push_back(request::Prefer{wanted});
}

}  // namespace wetrun::ui
