// Fonts, scale and ImGui's style.
//
// Lato's glyphs (version 2.0, seen in the font's own table): Latin, superscripts, arrows, the signs of arithmetic used
// here, rings and dots are there; a tick mark and filled triangles are not, and are drawn as shapes where wanted.
#include <imgui.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <filesystem>

#include "engine/core/error.h"
#include "trainer/window/panel/kit.h"

namespace wetrun::ui {
namespace {

struct Face {
  const char* file;
  float em_px;
};
constexpr std::array<Face, 5> faces = {{{"Lato-Regular.ttf", 12.0F},
                                        {"Lato-Regular.ttf", 14.5F},
                                        {"Lato-Bold.ttf", 14.5F},
                                        {"Lato-Bold.ttf", 20.0F},
                                        {"Lato-Bold.ttf", 30.0F}}};
/// ImGui takes the height of a line; Lato's is 1.2 em (ascent 1974, descent 426 of 2000 units).
constexpr float line_per_em = 1.2F;

constexpr ImWchar glyphs[] = {0x0020, 0x007E,  // ASCII
                              0x00A0, 0x00FF,  // Latin-1: degree, squares, times, micro, middle dot
                              0x0100, 0x017F,  // other European letters
                              0x0394, 0x0394, 0x03A9, 0x03A9, 0x03BC, 0x03BC,  // Delta, Omega, mu
                              0x2010, 0x2015, 0x2018, 0x201E, 0x2020, 0x2022,
                              0x2026, 0x2026,                  // dashes, quotes, bullet, ellipsis
                              0x2030, 0x2030, 0x2032, 0x2033,  // per mille, minutes and seconds
                              0x2070, 0x208E,                  // superscripts, subscripts
                              0x2190, 0x2193,                  // arrows
                              0x2206, 0x2206, 0x2212, 0x2212, 0x2248, 0x2248,
                              0x2260, 0x2265,                  // difference, minus, about, unlike, at most, at least
                              0x25CB, 0x25CF, 0xFFFD, 0xFFFD,  // ring, dot, and the sign for what is missing
                              0};

/// Figures of one width: numbers that change must not make their neighbours dance.
void make_figures_equal(ImFont& font) {
  float widest = 0;
  for (ImWchar c = '0'; c <= '9'; ++c) widest = std::max(widest, font.GetCharAdvance(c));
  for (ImFontGlyph& glyph : font.Glyphs) {
    if (glyph.Codepoint < '0' || glyph.Codepoint > '9') continue;
    const float shift = std::floor((widest - glyph.AdvanceX) / 2);
    glyph.X0 += shift;
    glyph.X1 += shift;
    glyph.AdvanceX = widest;
    font.IndexAdvanceX[static_cast<int>(glyph.Codepoint)] = widest;
  }
}

std::string path_of(const std::string& folder, const char* file) {
  return (std::filesystem::path(folder) / file).string();
}

}  // namespace

std::string font_folder() {
  const char* set = std::getenv("WETRUN_FONTS");
  return set != nullptr && *set != '\0' ? set : "/usr/share/fonts/truetype/lato";
}

float scale_for(float width, float height, float text_scale) {
  const float fits = std::min(width / 1280, height / 800) * text_scale;
  // In steps of a twentieth, so that dragging a window's edge does not load fonts at each pixel.
  return std::clamp(std::floor(fits * 20 + 0.001F) / 20, 0.6F, 6.0F);
}

float least_type() {
  const ImVec2 size = ImGui::GetIO().DisplaySize;
  return 8 * scale_for(size.x, size.y, 1);
}

void load_fonts(Kit& kit, const std::string& folder) {
  for (const Face& face : faces) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path_of(folder, face.file), ignored))
      throw InputError("no font " + std::string(face.file) + " in '" + folder + "'",
                       "install Debian's package fonts-lato, or set WETRUN_FONTS to the folder that has the font");
  }
  ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
  atlas.Clear();
  atlas.TexDesiredWidth = kit.scale > 1.8F ? 4096 : 2048;
  for (std::size_t i = 0; i < faces.size(); ++i) {
    ImFontConfig config;
    config.OversampleH = kit.scale > 1.8F ? 1 : 2;
    config.OversampleV = 1;
    config.PixelSnapH = kit.scale > 1.8F;
    const float line_px = std::round(kit.px(faces[i].em_px) * line_per_em * 2) / 2;
    const std::string file = path_of(folder, faces[i].file);
    kit.fonts[i] = atlas.AddFontFromFileTTF(file.c_str(), line_px, &config, glyphs);
    if (kit.fonts[i] == nullptr)
      throw InputError("cannot read the font '" + file + "'", "install Debian's package fonts-lato anew");
  }
  if (!atlas.Build())
    throw InputError("the fonts in '" + folder + "' are damaged", "install Debian's package fonts-lato anew");
  for (ImFont* font : kit.fonts) make_figures_equal(*font);
  ImGui::GetIO().FontDefault = kit.fonts[static_cast<std::size_t>(Type::body)];
}

void set_style(const Kit& kit) {
  const Palette& p = kit.colour;
  ImGuiStyle style;  // ImGui's defaults first: setting it twice must not scale it twice
  style.WindowPadding = {kit.px(16), kit.px(13)};
  style.FramePadding = {kit.px(9), kit.px(5)};
  style.ItemSpacing = {kit.px(8), kit.px(6)};
  style.ItemInnerSpacing = {kit.px(7), kit.px(5)};
  style.CellPadding = {kit.px(6), kit.px(3)};
  style.IndentSpacing = kit.px(18);
  style.ScrollbarSize = kit.px(9);
  style.GrabMinSize = kit.px(14);
  style.WindowRounding = style.ChildRounding = style.FrameRounding = style.GrabRounding = kit.px(3);
  style.PopupRounding = kit.px(4);
  style.ScrollbarRounding = kit.px(5);
  style.WindowBorderSize = style.ChildBorderSize = style.FrameBorderSize = 0;
  style.PopupBorderSize = 1;
  style.DisabledAlpha = 1;  // disabled things are drawn in the palette's faint ink
  style.MouseCursorScale = 1;
  style.CurveTessellationTol = 0.6F;
  style.CircleTessellationMaxError = 0.15F;
  const auto set = [&style](ImGuiCol which, ImU32 colour) {
    style.Colors[which] = ImGui::ColorConvertU32ToFloat4(colour);
  };
  set(ImGuiCol_Text, p.ink);
  set(ImGuiCol_TextDisabled, p.ink_faint);
  set(ImGuiCol_WindowBg, p.sheet);
  set(ImGuiCol_ChildBg, fade(p.sheet, 0));
  set(ImGuiCol_PopupBg, p.sheet);
  set(ImGuiCol_Border, p.rule);
  set(ImGuiCol_FrameBg, p.sheet_shade);
  set(ImGuiCol_FrameBgHovered, blend(p.sheet_shade, p.ink, 0.05F));
  set(ImGuiCol_FrameBgActive, blend(p.sheet_shade, p.ink, 0.09F));
  set(ImGuiCol_ScrollbarBg, fade(p.sheet, 0));
  set(ImGuiCol_ScrollbarGrab, p.rule);
  set(ImGuiCol_ScrollbarGrabHovered, blend(p.rule, p.ink, 0.2F));
  set(ImGuiCol_ScrollbarGrabActive, blend(p.rule, p.ink, 0.35F));
  set(ImGuiCol_CheckMark, p.hand);
  set(ImGuiCol_SliderGrab, p.hand);
  set(ImGuiCol_SliderGrabActive, blend(p.hand, p.ink, 0.25F));
  set(ImGuiCol_Button, p.sheet_shade);
  set(ImGuiCol_ButtonHovered, blend(p.sheet_shade, p.ink, 0.08F));
  set(ImGuiCol_ButtonActive, blend(p.sheet_shade, p.ink, 0.18F));
  set(ImGuiCol_Header, p.hand_soft);
  set(ImGuiCol_HeaderHovered, blend(p.hand_soft, p.hand, 0.1F));
  set(ImGuiCol_HeaderActive, blend(p.hand_soft, p.hand, 0.2F));
  set(ImGuiCol_Separator, p.rule);
  set(ImGuiCol_TextSelectedBg, p.hand_soft);
  set(ImGuiCol_NavHighlight, p.hand);
  set(ImGuiCol_ModalWindowDimBg, fade(p.ink, 0.35F));
  ImGui::GetStyle() = style;
}

}  // namespace wetrun::ui
