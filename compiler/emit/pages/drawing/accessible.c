#include "compiler/emit/pages/drawing/accessible.h"

#include "compiler/emit/escape.h"
#include "runtime/base/buffer.h"

#include <qpdf/qpdf-c.h>
#include <stdlib.h>

struct work {
    struct accessible *about;
    qpdf_data pdf;
    uint32_t tag, link; /* the next of each */
    const char *fault;
};

static qpdf_oh new_text(struct work *w, struct text t)
{
    return qpdf_oh_new_unicode_string(w->pdf, arena_text(w->about->arena, t).at);
}

/* ---- the document ------------------------------------------------------------------------------------------------- */

/* XMP (ISO 16684-1) with the identification of PDF/UA-1, clause 5. */
static struct text metadata(const struct accessible *about)
{
    struct buffer b;
    buffer_init(&b, about->arena);
    buffer_put(&b, TEXT("<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
                        "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n"
                        "<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
                        "<rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\""
                        " xmlns:pdfuaid=\"http://www.aiim.org/pdfua/ns/id/\">\n"
                        "<pdfuaid:part>1</pdfuaid:part>\n"
                        "<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">"));
    escape_put_xml(&b, about->title);
    buffer_put(&b, TEXT("</rdf:li></rdf:Alt></dc:title>\n"));
    if (about->author.len) {
        buffer_put(&b, TEXT("<dc:creator><rdf:Seq><rdf:li>"));
        escape_put_xml(&b, about->author);
        buffer_put(&b, TEXT("</rdf:li></rdf:Seq></dc:creator>\n"));
    }
    buffer_put(&b, TEXT("</rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>"));
    return buffer_text(&b);
}

static qpdf_oh new_stream(struct work *w, struct text bytes)
{
    qpdf_oh stream = qpdf_oh_new_stream(w->pdf), none = qpdf_oh_new_null(w->pdf);
    qpdf_oh_replace_stream_data(w->pdf, stream, (const unsigned char *)bytes.at, bytes.len, none, none);
    return stream;
}

/* Clause 7.1 (title, metadata) and 7.2 (language). */
static void describe_document(struct work *w)
{
    qpdf_oh root = qpdf_get_root(w->pdf), stream = new_stream(w, metadata(w->about));
    qpdf_oh dictionary = qpdf_oh_get_dict(w->pdf, stream);
    qpdf_oh_replace_key(w->pdf, dictionary, "/Type", qpdf_oh_new_name(w->pdf, "/Metadata"));
    qpdf_oh_replace_key(w->pdf, dictionary, "/Subtype", qpdf_oh_new_name(w->pdf, "/XML"));
    qpdf_oh_replace_key(w->pdf, root, "/Metadata", stream);
    qpdf_oh_replace_key(w->pdf, root, "/Lang", qpdf_oh_new_string(w->pdf, w->about->language));
    qpdf_oh_replace_key(w->pdf, root, "/ViewerPreferences", qpdf_oh_parse(w->pdf, "<< /DisplayDocTitle true >>"));
}

/* ---- structure ---------------------------------------------------------------------------------------------------- */

static void describe_element(struct work *w, qpdf_oh element, const struct accessible_tag *tag)
{
    if (strcmp(tag->name, "Figure") == 0)
        qpdf_oh_replace_key(w->pdf, element, "/Alt", new_text(w, tag->text));
    if (strcmp(tag->name, "TH") == 0)
        qpdf_oh_replace_key(w->pdf, element, "/A", qpdf_oh_parse(w->pdf, "<< /O /Table /Scope /Column >>"));
    if (tag->columns > 1)
        qpdf_oh_replace_key(
            w->pdf, element, "/A",
            qpdf_oh_parse(w->pdf, arena_format(w->about->arena, "<< /O /Table /ColSpan %u >>", tag->columns).at));
}

static void describe_children(struct work *w, qpdf_oh parent);

/* Elements come in the order in which their tags were begun. */
static void describe_child(struct work *w, qpdf_oh child)
{
    if (!qpdf_oh_is_dictionary(w->pdf, child) || !qpdf_oh_has_key(w->pdf, child, "/S"))
        return; /* marked content, or an annotation */
    const struct accessible_tag *tag = w->tag < w->about->tags.count ? &w->about->tags.at[w->tag++] : NULL;
    const char *name = qpdf_oh_get_name(w->pdf, qpdf_oh_get_key(w->pdf, child, "/S"));
    if (!tag || strcmp(name + 1, tag->name) != 0) {
        w->fault = "the tags of the PDF are not those that were begun";
        return;
    }
    describe_element(w, child, tag);
    describe_children(w, child);
}

static void describe_children(struct work *w, qpdf_oh parent)
{
    qpdf_oh children = qpdf_oh_get_key(w->pdf, parent, "/K");
    if (!qpdf_oh_is_array(w->pdf, children)) {
        describe_child(w, children);
        return;
    }
    for (int i = 0, count = qpdf_oh_get_array_n_items(w->pdf, children); i < count && !w->fault; i++)
        describe_child(w, qpdf_oh_get_array_item(w->pdf, children, i));
}

/* ---- pages -------------------------------------------------------------------------------------------------------- */

/* Clause 7.18.5: where a link leads, in words. Links come in the order of their tags. */
static void describe_links(struct work *w, qpdf_oh page)
{
    qpdf_oh links = qpdf_oh_get_key(w->pdf, page, "/Annots");
    const struct accessible *about = w->about;
    for (int i = 0, count = qpdf_oh_is_array(w->pdf, links) ? qpdf_oh_get_array_n_items(w->pdf, links) : 0; i < count;
         i++) {
        while (w->link < about->tags.count && strcmp(about->tags.at[w->link].name, "Link") != 0)
            w->link++;
        if (w->link == about->tags.count)
            return;
        qpdf_oh_replace_key(w->pdf, qpdf_oh_get_array_item(w->pdf, links, i), "/Contents",
                            new_text(w, about->tags.at[w->link++].text));
    }
}

/* Clause 7.21.3.2: that numbers of characters are those of glyphs is said, not left to be assumed. */
static void describe_font(struct work *w, qpdf_oh font)
{
    qpdf_oh inner = qpdf_oh_get_key(w->pdf, font, "/DescendantFonts");
    if (!qpdf_oh_is_array(w->pdf, inner))
        return;
    inner = qpdf_oh_get_array_item(w->pdf, inner, 0);
    if (qpdf_oh_is_name_and_equals(w->pdf, qpdf_oh_get_key(w->pdf, inner, "/Subtype"), "/CIDFontType2"))
        qpdf_oh_replace_key(w->pdf, inner, "/CIDToGIDMap", qpdf_oh_new_name(w->pdf, "/Identity"));
}

static void describe_fonts(struct work *w, qpdf_oh page)
{
    qpdf_oh fonts = qpdf_oh_get_key_if_dict(w->pdf, qpdf_oh_get_key(w->pdf, page, "/Resources"), "/Font");
    if (!qpdf_oh_is_dictionary(w->pdf, fonts))
        return;
    for (qpdf_oh_begin_dict_key_iter(w->pdf, fonts); qpdf_oh_dict_more_keys(w->pdf);)
        describe_font(w, qpdf_oh_get_key(w->pdf, fonts, qpdf_oh_dict_next_key(w->pdf)));
}

static uint32_t string_end(struct text t, uint32_t at)
{
    uint32_t depth = 0;
    for (; at < t.len; at++) {
        depth += t.at[at] == '(';
        depth -= t.at[at] == ')';
        if (!depth)
            return at + 1;
        at += t.at[at] == '\\';
    }
    return t.len;
}

static bool is_delimiter(char c)
{
    return !c || strchr(" \t\r\n\f()<>[]{}/%", c);
}

static uint32_t hexadecimal_end(struct text t, uint32_t at)
{
    const char *end = memchr(t.at + at, '>', t.len - at);
    return end ? (uint32_t)(end - t.at) + 1 : t.len;
}

/* The byte behind the token that begins here: a string, a name, a number, an operator, or one delimiter. */
static uint32_t token_end(struct text t, uint32_t at)
{
    if (t.at[at] == '(')
        return string_end(t, at);
    if (t.at[at] == '<' && at + 1 < t.len && t.at[at + 1] != '<' && (!at || t.at[at - 1] != '<'))
        return hexadecimal_end(t, at);
    if (is_delimiter(t.at[at]) && t.at[at] != '/')
        return at + 1;
    for (at++; at < t.len && !is_delimiter(t.at[at]);)
        at++;
    return at;
}

static bool is_operator(char first)
{
    return (first | 32) >= 'a' && (first | 32) <= 'z';
}

static void put_artifact(struct buffer *b, struct text drawing)
{
    while (drawing.len && strchr(" \t\r\n\f", drawing.at[0])) {
        drawing.at++;
        drawing.len--;
    }
    if (!drawing.len)
        return;
    buffer_put(b, TEXT("/Artifact BMC\n"));
    buffer_put(b, drawing);
    buffer_put(b, TEXT("\nEMC\n"));
}

static bool has(struct text t, const char *word)
{
    size_t n = strlen(word);
    for (uint32_t at = 0; at + n <= t.len; at++)
        if (memcmp(t.at + at, word, n) == 0)
            return true;
    return false;
}

/* A page's content on its way into a buffer. */
struct marking {
    struct text content;
    uint32_t from;     /* of what was not put yet */
    uint32_t operands; /* of the next operator */
    uint32_t depth;    /* of marked content */
    bool tagged;       /* the outermost of it is in the structure */
    struct buffer out;
};

static struct text between(const struct marking *m, uint32_t from, uint32_t end)
{
    return (struct text){m->content.at + from, end - from};
}

/* Cairo begins a tag with "/P << /MCID 3 >> BDC"; inside, and outside, a ligature is marked to say its letters. */
static void begin_marked(struct marking *m, uint32_t operator)
{
    if (m->depth++ == 0 && has(between(m, m->operands, operator), "/MCID")) {
        put_artifact(&m->out, between(m, m->from, m->operands));
        m->from = m->operands;
        m->tagged = true;
    }
}

static void end_marked(struct marking *m, uint32_t end)
{
    if (--m->depth == 0 && m->tagged) {
        buffer_put(&m->out, between(m, m->from, end));
        buffer_putc(&m->out, '\n');
        m->from = end;
        m->tagged = false;
    }
}

/* Clause 7.1: what is not tagged is an artifact. */
static struct text mark_artifacts(struct arena *a, struct text content)
{
    struct marking m = {.content = content};
    buffer_init(&m.out, a);
    for (uint32_t at = 0, end; at < content.len; at = end) {
        end = token_end(content, at);
        if (!is_operator(content.at[at]))
            continue;
        if (text_is(between(&m, at, end), "BDC"))
            begin_marked(&m, at);
        else if (text_is(between(&m, at, end), "EMC") && m.depth)
            end_marked(&m, end);
        m.operands = end;
    }
    put_artifact(&m.out, between(&m, m.from, content.len));
    return buffer_text(&m.out);
}

static void mark_page(struct work *w, qpdf_oh page)
{
    struct accessible *about = w->about;
    size_t length = 0;
    if (qpdf_oh_get_page_content_data(w->pdf, page, &about->content, &length) & QPDF_ERRORS || length > UINT32_MAX) {
        w->fault = "a page of the PDF cannot be read";
        return;
    }
    struct text content = {(const char *)about->content, (uint32_t)length};
    qpdf_oh_replace_key(w->pdf, page, "/Contents", new_stream(w, mark_artifacts(about->arena, content)));
    qpdf_oh_replace_key(w->pdf, page, "/Tabs", qpdf_oh_new_name(w->pdf, "/S")); /* clause 7.18.3 */
    describe_links(w, page);
    describe_fonts(w, page);
    free(about->content);
    about->content = NULL;
}

/* ---- the file ----------------------------------------------------------------------------------------------------- */

static void describe(struct work *w)
{
    describe_document(w);
    describe_children(w, qpdf_oh_get_key(w->pdf, qpdf_get_root(w->pdf), "/StructTreeRoot"));
    for (int i = 0, count = qpdf_get_num_pages(w->pdf); i < count && !w->fault; i++)
        mark_page(w, qpdf_get_page_n(w->pdf, (size_t)i));
}

/* The identifier is made from the content, so that the same content has the same one. */
static void write_file(struct work *w, struct stream *file)
{
    qpdf_init_write_memory(w->pdf);
    qpdf_set_deterministic_ID(w->pdf, QPDF_TRUE);
    qpdf_set_object_stream_mode(w->pdf, qpdf_o_disable);
    if (qpdf_write(w->pdf) & QPDF_ERRORS) {
        w->fault = "the PDF cannot be written";
        return;
    }
    file->count = 0;
    if (!stream_put(file, qpdf_get_buffer(w->pdf), qpdf_get_buffer_length(w->pdf)))
        w->fault = "out of memory";
}

const char *accessible_finish(struct accessible *about, struct stream *file)
{
    struct work w = {.about = about, .pdf = about->pdf = qpdf_init()};
    qpdf_silence_errors(w.pdf);
    if (qpdf_read_memory(w.pdf, "pages", file->at, file->count, NULL) & QPDF_ERRORS)
        w.fault = "the PDF cannot be read";
    if (!w.fault)
        describe(&w);
    if (!w.fault)
        write_file(&w, file);
    accessible_release(about);
    return w.fault;
}

void accessible_release(struct accessible *about)
{
    if (about->pdf)
        qpdf_cleanup(&about->pdf);
    free(about->content);
    about->content = NULL;
}
