package app.sidelong.screens

import java.io.File
import java.io.FileOutputStream
import java.io.IOException

/**
 * The way from the list of jobs to the present screen, and what was chosen for this phone, in one small file. It is
 * replaced whole at every change: a phone that dies comes back with the last whole one.
 *
 * A line each: `page NAME`, `about KEY VALUE`, `typed KEY VALUE`, `set KEY VALUE`, in quoted form. No library is needed to
 * read it, and a line that cannot be read is left out rather than the rest with it.
 */
class Trail(private val file: File) {
    val pages = mutableListOf<Page>()
    val set = mutableMapOf<String, String>()

    init {
        val lines = try { file.readLines() } catch (_: IOException) { emptyList() }
        for (line in lines) {
            val words = line.split(' ').map(::plain)
            when {
                words.size == 2 && words[0] == "page" -> pages += Page(words[1])
                words.size != 3 -> continue
                words[0] == "about" -> pages.lastOrNull()?.about?.set(words[1], words[2])
                words[0] == "typed" -> pages.lastOrNull()?.typed?.set(words[1], words[2])
                words[0] == "set" -> set[words[1]] = words[2]
            }
        }
    }

    /** What the file will hold. */
    fun text(): String = buildString {
        for (page in pages) {
            append("page ").append(quoted(page.name)).append('\n')
            for ((key, value) in page.about) append("about ${quoted(key)} ${quoted(value)}\n")
            for ((key, value) in page.typed) append("typed ${quoted(key)} ${quoted(value)}\n")
        }
        for ((key, value) in set) append("set ${quoted(key)} ${quoted(value)}\n")
    }

    /** Puts a text made by [text] in the file's place. */
    fun write(text: String) {
        val fresh = File(file.path + ".new")
        FileOutputStream(fresh).use { out ->
            out.write(text.toByteArray())
            out.fd.sync()
        }
        if (!fresh.renameTo(file)) throw IOException("${file.name} could not be replaced")
    }

    /** Blanks, line ends and the sign itself as `%` and four hexadecimal digits; an empty text as `%`. */
    private fun quoted(text: String): String = if (text.isEmpty()) "%" else buildString {
        for (sign in text) if (sign <= ' ' || sign == '%') append('%').append(sign.code.toString(16).padStart(4, '0')) else append(sign)
    }

    private fun plain(word: String): String = if (word == "%") "" else buildString {
        var at = 0
        while (at < word.length) {
            val code = if (word[at] == '%' && at + 5 <= word.length) word.substring(at + 1, at + 5).toIntOrNull(16) else null
            append(code?.toChar() ?: word[at])
            at += if (code == null) 1 else 5
        }
    }
}
