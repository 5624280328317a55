#include "trainer/window/panel/kit.h"

#include <imgui_internal.h>
#include <imgui_stdlib.h>

#include <algorithm>
#include <cmath>

namespace wetrun::ui {
namespace {

ImVec4 colour4(ImU32 colour) { return ImGui::ColorConvertU32ToFloat4(colour); }

const char* first(std::string_view text) { return text.data(); }
const char* last(std::string_view text) { return text.data() + text.size(); }

ImVec2 line_size(const ImFont& font, std::string_view line) {
  return font.CalcTextSizeA(font.FontSize, 1e9F, 0, first(line), last(line));
}

/// A number and its unit stay on one line.
bool is_unit(std::string_view word) {
  while (!word.empty() && std::string_view(".,;:)").find(word.back()) != std::string_view::npos) word.remove_suffix(1);
  for (const std::string_view unit :
       {"%",  "bar",  "psi",   "kPa",   "m³/h", "gpm", "L/min", "°C", "°F", "kg", "g",  "L",
        "m³", "mg/L", "mS/cm", "µS/cm", "s",    "min", "h",     "A",  "V",  "mm", "pH", "points"})
    if (word == unit) return true;
  return false;
}

bool may_break_at(const char* blank, const char* from, const char* end) {
  if (blank == from || blank[-1] < '0' || blank[-1] > '9') return true;
  const char* const after = blank + 1;
  return !is_unit({after, static_cast<std::size_t>(std::find_if(after, end, [](char c) { return c == ' '; }) - after)});
}

/// Where a line that begins at `from` and may go to `end` is broken: at a blank; in a word that is wider than the line at
/// a slash, else between letters.
const char* line_end(const ImFont& font, const char* from, const char* end, float wrap) {
  const char *blank = nullptr, *slash = nullptr;
  float width = 0;
  for (const char* at = from; at < end;) {
    unsigned int letter = 0;
    const char* const next = at + std::max(1, ImTextCharFromUtf8(&letter, at, end));
    width += font.GetCharAdvance(static_cast<ImWchar>(letter));
    if (*at == ' ') {
      if (may_break_at(at, from, end)) blank = at;
    } else if (width > wrap && at > from) {
      return blank ? blank : slash ? slash : at;
    }
    if (*at == '/' && next < end) slash = next;
    at = next;
  }
  return end;
}

/// The lines a text is broken into at `wrap` pixels (0: only at its own line breaks): between words, so that no number is
/// torn at its point.
std::vector<std::string_view> lines_of(const ImFont& font, std::string_view text, float wrap) {
  std::vector<std::string_view> lines;
  const char* at = first(text);
  const char* const end = last(text);
  while (at < end) {
    const char* stop = std::find(at, end, '\n');
    if (wrap > 0) stop = line_end(font, at, stop, wrap);
    lines.emplace_back(at, static_cast<std::size_t>(stop - at));
    at = stop;
    if (at < end && *at == '\n')
      ++at;
    else
      while (at < end && *at == ' ') ++at;  // blanks at a break are dropped
  }
  return lines;
}

Box clip_box(const ImDrawList& list) {
  const ImVec2 low = list.GetClipRectMin(), high = list.GetClipRectMax();
  return {low.x, low.y, high.x, high.y};
}

/// Scrolled up or down out of a panel that scrolls. A panel learns only with its next frame that it has to.
bool is_scrolled_out(const Box& box, const Box& within) {
  const ImGuiWindow* window = ImGui::GetCurrentWindowRead();
  if (window == nullptr || (window->ScrollMax.y <= 0 && (window->Flags & ImGuiWindowFlags_NoScrollbar))) return false;
  return box.y0 < within.y0 - 1 || box.y1 > within.y1 + 1;
}

/// What is drawn in the flow of a panel must lie in the panel.
void log(Kit& kit, BoxKind kind, const std::string& name, const Box& box, std::string_view words = {}) {
  const Box within = clip_box(*ImGui::GetWindowDrawList());
  kit.boxes->add(kind, name, box, within, is_scrolled_out(box, within), words);
}

Box last_item() {
  const ImVec2 low = ImGui::GetItemRectMin(), high = ImGui::GetItemRectMax();
  return {low.x, low.y, high.x, high.y};
}

/// A name for words that were given none: their panel and where they stand in it.
std::string flow_name(const std::string& name) {
  if (!name.empty()) return name;
  const ImGuiWindow* window = ImGui::GetCurrentWindow();
  return std::string(window->Name) + "/~" +
         std::to_string(std::lround(window->DC.CursorPos.x - window->Pos.x + window->Scroll.x)) + "," +
         std::to_string(std::lround(window->DC.CursorPos.y - window->Pos.y + window->Scroll.y));
}

void draw_shadow(const Kit& kit, const Box& place) {
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.PushClipRectFullScreen();
  const int rings = 10;
  for (int i = 1; i <= rings; ++i) {
    const float out = kit.px(static_cast<float>(i));
    const Box b = place.grown(out);
    list.AddRect({b.x0, b.y0 + kit.px(2)}, {b.x1, b.y1 + kit.px(2)},
                 fade(kit.colour.ink, 0.09F * static_cast<float>(rings + 1 - i) / rings), kit.px(3) + out, 0,
                 kit.px(1.5F));
  }
  list.PopClipRect();
}

}  // namespace

ImU32 blend(ImU32 a, ImU32 b, float t) {
  const ImVec4 x = colour4(a), y = colour4(b);
  const float k = std::clamp(t, 0.0F, 1.0F);
  return ImGui::ColorConvertFloat4ToU32(
      {x.x + (y.x - x.x) * k, x.y + (y.y - x.y) * k, x.z + (y.z - x.z) * k, x.w + (y.w - x.w) * k});
}

ImU32 fade(ImU32 colour, float opacity) {
  const float alpha = static_cast<float>(colour >> IM_COL32_A_SHIFT) * std::clamp(opacity, 0.0F, 1.0F);
  return (colour & ~IM_COL32_A_MASK) | (static_cast<ImU32>(std::lround(alpha)) << IM_COL32_A_SHIFT);
}

ImVec2 measure(const Kit& kit, Type type, std::string_view text, float wrap) {
  const ImFont& font = *kit.font(type);
  if (text.empty()) return {0, font.FontSize};
  ImVec2 size{0, 0};
  for (const std::string_view line : lines_of(font, text, wrap)) {
    size.x = std::max(size.x, line_size(font, line).x);
    size.y += font.FontSize;
  }
  return size;
}

std::string wrapped(const Kit& kit, Type type, std::string_view text, float wrap) {
  std::string all;
  for (const std::string_view line : lines_of(*kit.font(type), text, wrap)) {
    if (!all.empty()) all += '\n';
    all += line;
  }
  return all;
}

void put_text(Kit& kit, ImDrawList& list, Type type, Point at, ImU32 colour, std::string_view text, Align align,
              const std::string& name, float wrap) {
  if (text.empty()) return;
  ImFont& font = *kit.font(type);
  const float share = align == Align::left ? 0.0F : align == Align::middle ? 0.5F : 1.0F;
  Box box{1e9F, at.y, -1e9F, at.y};
  for (const std::string_view line : lines_of(font, text, wrap)) {
    const float width = line_size(font, line).x;
    const float x = std::round(at.x - share * width);
    list.AddText(&font, font.FontSize, {x, std::round(box.y1)}, colour, first(line), last(line));
    box = {std::min(box.x0, x), box.y0, std::max(box.x1, x + width), box.y1 + font.FontSize};
  }
  if (name.empty()) return;
  const Box within = clip_box(list);
  kit.boxes->add(BoxKind::text, name, box, within, is_scrolled_out(box, within), text);
}

bool begin_panel(Kit& kit, const std::string& name, const Box& place, const std::string& title, bool scrolls) {
  const bool popup = !kit.boxes->layer().empty();
  ImGuiWindowFlags flags = ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize | ImGuiWindowFlags_NoMove |
                           ImGuiWindowFlags_NoCollapse | ImGuiWindowFlags_NoSavedSettings;
  if (!scrolls) flags |= ImGuiWindowFlags_NoScrollbar | ImGuiWindowFlags_NoScrollWithMouse;
  if (!popup) flags |= ImGuiWindowFlags_NoBringToFrontOnFocus;
  ImGui::SetNextWindowPos({place.x0, place.y0});
  ImGui::SetNextWindowSize({place.width(), place.height()});
  ImGui::PushStyleVar(ImGuiStyleVar_WindowMinSize, ImVec2(1, 1));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowBorderSize, 0);
  ImGui::PushStyleVar(ImGuiStyleVar_WindowRounding, kit.px(popup ? 5 : 3));
  const bool shown = ImGui::Begin(name.c_str(), nullptr, flags);
  ImGui::PopStyleVar(3);
  kit.boxes->add(BoxKind::region, name, place, kit.boxes->screen());
  if (popup) draw_shadow(kit, place);
  if (!title.empty()) {
    text(kit, Type::strong, title, kit.colour.ink, name + "/title");
    gap(kit, 4);
    hairline(kit);
    gap(kit, 6);
  }
  return shown;
}

void end_panel(Kit&) { ImGui::End(); }

void text(Kit& kit, Type type, std::string_view words, ImU32 colour, const std::string& name) {
  const std::string logged = flow_name(name);
  ImGuiWindow* const window = ImGui::GetCurrentWindow();
  const ImVec2 at{window->DC.CursorPos.x, window->DC.CursorPos.y + window->DC.CurrLineTextBaseOffset};
  const float edge = window->DC.TextWrapPos;
  const float wrap = edge < 0 ? 0 : std::max(1.0F, ImGui::CalcWrapWidthForPos(at, edge));
  const ImVec2 size = measure(kit, type, words, wrap);
  ImGui::ItemSize(size, 0);
  if (ImGui::ItemAdd({at, {at.x + size.x, at.y + size.y}}, 0))
    put_text(kit, *window->DrawList, type, {at.x, at.y}, colour == 0 ? kit.colour.ink : colour, words, Align::left, "",
             wrap);
  log(kit, BoxKind::text, logged, last_item(), words);
}

void paragraph(Kit& kit, Type type, std::string_view words, ImU32 colour, const std::string& name) {
  ImGui::PushTextWrapPos(0);
  text(kit, type, words, colour, name);
  ImGui::PopTextWrapPos();
}

void hairline(Kit& kit) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const float thick = std::max(1.0F, std::round(kit.px(0.8F)));
  const float y = std::floor(at.y);
  ImGui::GetWindowDrawList()->AddRectFilled({at.x, y}, {at.x + width, y + thick}, kit.colour.rule);
  ImGui::Dummy({width, thick});
}

void gap(Kit& kit, float at_scale_1) {
  // ImGui puts its own spacing after each item; a gap is exactly what was asked for beyond it.
  ImGui::SetCursorPosY(ImGui::GetCursorPosY() + kit.px(at_scale_1) - ImGui::GetStyle().ItemSpacing.y);
  ImGui::Dummy({0, 0});
}

void soft_edges(Kit& kit) {
  const ImGuiWindow* const window = ImGui::GetCurrentWindowRead();
  const ImRect clip = window->InnerClipRect;
  const ImU32 solid = kit.colour.sheet, clear = fade(solid, 0);
  const float above = std::min(window->Scroll.y, kit.px(16));
  const float below = std::min(window->ScrollMax.y - window->Scroll.y, kit.px(16));
  ImDrawList& list = *window->DrawList;
  if (above > 1) list.AddRectFilledMultiColor(clip.Min, {clip.Max.x, clip.Min.y + above}, solid, solid, clear, clear);
  if (below > 1) list.AddRectFilledMultiColor({clip.Min.x, clip.Max.y - below}, clip.Max, clear, clear, solid, solid);
}

void warning(Kit& kit, std::string_view words, bool danger) {
  const ImU32 back = danger ? kit.colour.alarm_soft : kit.colour.caution_soft;
  const ImU32 mark = danger ? kit.colour.alarm : kit.colour.caution;
  const std::string name = flow_name("");
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x, pad = kit.px(9), sign = kit.px(20);
  const float left = pad + sign + kit.px(9);
  const ImVec2 size = measure(kit, Type::body, words, std::max(width - left - pad, kit.px(20)));
  const float height = std::max(size.y, sign) + 2 * pad;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled(at, {at.x + width, at.y + height}, back, kit.px(3));
  const float mid = at.x + pad + sign / 2, top = at.y + pad + kit.px(1), foot = top + sign * 0.88F;
  list.AddTriangleFilled({mid, top}, {mid + sign / 2, foot}, {mid - sign / 2, foot}, mark);
  put_text(kit, list, Type::small, {mid, foot - kit.font(Type::small)->FontSize + kit.px(0.5F)},
           danger ? kit.colour.sheet : kit.colour.ink, "!", Align::middle);
  put_text(kit, list, Type::body, {at.x + left, at.y + (height - size.y) / 2}, kit.colour.ink, words, Align::left, name,
           std::max(width - left - pad, kit.px(20)));
  ImGui::Dummy({width, height});
}

bool button(Kit& kit, const std::string& name, const std::string& label, Weight weight, float width, bool enabled) {
  const Palette& c = kit.colour;
  const ImVec2 words = measure(kit, Type::strong, label);
  const float pad = kit.px(weight == Weight::quiet ? 8 : 14);
  const float wide = width < 0 ? ImGui::GetContentRegionAvail().x : width > 0 ? width : words.x + 2 * pad;
  const ImVec2 size{wide, words.y + kit.px(13)};
  ImGui::PushID(name.c_str());
  if (!enabled) ImGui::BeginDisabled();
  const bool pressed = ImGui::InvisibleButton("##button", size);
  if (!enabled) ImGui::EndDisabled();
  ImGui::PopID();
  const bool hovered = enabled && ImGui::IsItemHovered(), held = enabled && ImGui::IsItemActive();
  const bool focused = enabled && ImGui::IsItemFocused() && ImGui::GetIO().NavVisible;
  const Box box = last_item();
  ImU32 back = weight == Weight::main     ? c.hand
               : weight == Weight::danger ? c.alarm
               : weight == Weight::quiet  ? fade(c.sheet_shade, 0)
                                          : c.sheet_shade;
  ImU32 ink = weight == Weight::main || weight == Weight::danger ? c.sheet : weight == Weight::quiet ? c.hand : c.ink;
  if (held)
    back = weight == Weight::quiet ? c.sheet_shade : blend(back, c.ink, 0.18F);
  else if (hovered)
    back = weight == Weight::quiet ? fade(c.sheet_shade, 0.6F) : blend(back, c.ink, 0.08F);
  if (!enabled) {
    back = weight == Weight::quiet ? back : c.sheet_shade;
    ink = c.ink_faint;
  }
  if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddRectFilled({box.x0, box.y0}, {box.x1, box.y1}, back, kit.px(3));
  if (focused) list.AddRect({box.x0, box.y0}, {box.x1, box.y1}, c.hand, kit.px(3), 0, kit.px(2));
  log(kit, BoxKind::button, name, box);
  list.PushClipRect({box.x0, box.y0}, {box.x1, box.y1}, true);
  put_text(kit, list, Type::strong, {box.middle().x, box.y0 + (box.height() - words.y) / 2}, ink, label, Align::middle,
           is_scrolled_out(box, clip_box(list)) ? "" : name + "/label");
  list.PopClipRect();
  return pressed && enabled;
}

bool choice(Kit& kit, const std::string& name, const std::vector<std::string>& labels, std::size_t& chosen) {
  const Palette& c = kit.colour;
  const float left = ImGui::GetCursorPosX(), right = ImGui::GetWindowContentRegionMax().x;
  bool changed = false;
  ImGui::PushID(name.c_str());
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const Type type = i == chosen ? Type::strong : Type::body;
    // As wide as in bold, so that nothing moves when the choice changes.
    const ImVec2 words = measure(kit, Type::strong, labels[i]);
    const ImVec2 size{words.x + 2 * kit.px(11), words.y + kit.px(11)};
    if (i > 0) {
      ImGui::SameLine(0, kit.px(2));
      if (ImGui::GetCursorPosX() + size.x > right + 0.5F) {
        ImGui::NewLine();
        ImGui::SetCursorPosX(left);
      }
    }
    ImGui::PushID(static_cast<int>(i));
    const bool pressed = ImGui::InvisibleButton("##one", size);
    ImGui::PopID();
    const bool hovered = ImGui::IsItemHovered();
    if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    const Box box = last_item();
    const ImU32 back = i == chosen ? c.hand_soft : hovered ? blend(c.sheet_shade, c.ink, 0.06F) : c.sheet_shade;
    ImDrawList& list = *ImGui::GetWindowDrawList();
    list.AddRectFilled({box.x0, box.y0}, {box.x1, box.y1}, back, kit.px(3));
    if (i == chosen) list.AddRectFilled({box.x0, box.y1 - kit.px(2)}, {box.x1, box.y1}, c.hand, 0);
    put_text(kit, list, type, {box.middle().x, box.y0 + (box.height() - words.y) / 2}, i == chosen ? c.hand : c.ink,
             labels[i], Align::middle);
    log(kit, BoxKind::button, name + "/" + labels[i], box);
    if (pressed && i != chosen) {
      chosen = i;
      changed = true;
    }
  }
  ImGui::PopID();
  return changed;
}

bool tick(Kit& kit, const std::string& name, const std::string& label, bool& value) {
  ImGui::PushFont(kit.font(Type::body));
  ImGui::PushID(name.c_str());
  const bool changed = ImGui::Checkbox(label.c_str(), &value);
  ImGui::PopID();
  ImGui::PopFont();
  if (ImGui::IsItemHovered()) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
  log(kit, BoxKind::button, name, last_item());
  return changed;
}

bool slider(Kit& kit, const std::string& name, const std::string& label, float& value, float low, float high,
            const char* format) {
  if (!label.empty()) text(kit, Type::body, label, kit.colour.ink, name + "/label");
  ImGui::PushFont(kit.font(Type::body));
  ImGui::PushID(name.c_str());
  ImGui::SetNextItemWidth(-1);
  const bool changed = ImGui::SliderFloat("##slider", &value, low, high, format, ImGuiSliderFlags_AlwaysClamp);
  ImGui::PopID();
  ImGui::PopFont();
  log(kit, BoxKind::button, name, last_item());
  return changed;
}

bool entry(Kit& kit, const std::string& name, std::string& value, float width, const std::string& hint) {
  ImGui::PushFont(kit.font(Type::body));
  ImGui::PushID(name.c_str());
  ImGui::SetNextItemWidth(width == 0 ? kit.px(120) : width);
  const bool entered = ImGui::InputTextWithHint("##entry", hint.c_str(), &value, ImGuiInputTextFlags_EnterReturnsTrue);
  ImGui::PopID();
  ImGui::PopFont();
  log(kit, BoxKind::button, name, last_item());
  return entered;
}

}  // namespace wetrun::ui
