package app.sidelong.platform

import android.content.ContentResolver
import android.net.Uri
import android.provider.DocumentsContract
import java.io.File
import java.io.FileNotFoundException
import java.io.IOException

/** What another program gave us to read is copied before the core sees it: the core reads paths, and a card can go away. */
object Given {
    /** Most bytes that are copied: a crew's busy month is well below. */
    private const val MOST = 20_000_000_000L

    /** Copies one file. */
    fun file(resolver: ContentResolver, from: Uri, to: File): File {
        to.parentFile?.mkdirs()
        val input = resolver.openInputStream(from) ?: throw FileNotFoundException(from.toString())
        input.use { source -> to.outputStream().use { source.copyTo(it) } }
        return to
    }

    /** Copies a folder that the person picked, with what lies below it. */
    fun folder(resolver: ContentResolver, tree: Uri, to: File): File {
        to.deleteRecursively()
        copy(resolver, tree, DocumentsContract.getTreeDocumentId(tree), to, 0, longArrayOf(0))
        return to
    }

    private fun copy(resolver: ContentResolver, tree: Uri, id: String, to: File, depth: Int, copied: LongArray) {
        if (depth > 8) throw IOException("folders lie too deep in each other")
        to.mkdirs()
        val columns = arrayOf(DocumentsContract.Document.COLUMN_DOCUMENT_ID, DocumentsContract.Document.COLUMN_DISPLAY_NAME, DocumentsContract.Document.COLUMN_MIME_TYPE)
        resolver.query(DocumentsContract.buildChildDocumentsUriUsingTree(tree, id), columns, null, null, null)?.use { rows ->
            while (rows.moveToNext()) {
                val name = rows.getString(1) ?: continue
                // A name from outside is a name, never a path.
                if (name.isEmpty() || name == "." || name == ".." || '/' in name) continue
                val target = File(to, name)
                if (rows.getString(2) == DocumentsContract.Document.MIME_TYPE_DIR) {
                    copy(resolver, tree, rows.getString(0), target, depth + 1, copied)
                } else {
                    file(resolver, DocumentsContract.buildDocumentUriUsingTree(tree, rows.getString(0)), target)
                    copied[0] += target.length()
                    if (copied[0] > MOST) throw IOException("more than 20 GB")
                }
            }
        }
    }
}
