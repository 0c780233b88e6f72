package app.sidelong.platform

import android.content.ContentProvider
import android.content.ContentValues
import android.content.Context
import android.database.Cursor
import android.database.MatrixCursor
import android.net.Uri
import android.os.ParcelFileDescriptor
import android.provider.OpenableColumns
import java.io.File
import java.io.FileNotFoundException

/**
 * Hands single files to programs that the person chose: a report to read, and an empty file for the camera to write a
 * photo into. Only a file of one of the two folders, named directly, and only by a URI that was granted.
 */
class FilesProvider : ContentProvider() {
    override fun onCreate(): Boolean = true

    private fun file(uri: Uri): File {
        val context = context ?: throw FileNotFoundException(uri.toString())
        val parts = uri.pathSegments
        val folder = if (parts.size == 2) Folder.entries.firstOrNull { it.part == parts[0] } else null
        val home = folder?.of(context)?.canonicalFile ?: throw FileNotFoundException(uri.toString())
        val file = File(home, parts[1]).canonicalFile
        if (file.parentFile != home || file.name != parts[1]) throw FileNotFoundException(uri.toString())
        return file
    }

    override fun openFile(uri: Uri, mode: String): ParcelFileDescriptor {
        val file = file(uri)
        val writing = mode != "r"
        // What is shared is only read; a photo is only written into a file that we made for it.
        if (writing && (uri.pathSegments[0] != Folder.CAMERA.part || !file.exists())) throw FileNotFoundException(uri.toString())
        return ParcelFileDescriptor.open(file, ParcelFileDescriptor.parseMode(mode))
    }

    override fun getType(uri: Uri): String = when (file(uri).extension) {
        "html" -> "text/html"
        "ics" -> "text/calendar"
        "jpg" -> "image/jpeg"
        else -> "application/octet-stream"
    }

    override fun query(uri: Uri, columns: Array<String>?, where: String?, values: Array<String>?, order: String?): Cursor {
        val file = file(uri)
        val names = (columns ?: arrayOf(OpenableColumns.DISPLAY_NAME, OpenableColumns.SIZE))
            .filter { it == OpenableColumns.DISPLAY_NAME || it == OpenableColumns.SIZE }
        return MatrixCursor(names.toTypedArray()).apply {
            addRow(names.map { if (it == OpenableColumns.SIZE) file.length() else file.name })
        }
    }

    override fun insert(uri: Uri, values: ContentValues?): Uri = throw UnsupportedOperationException()
    override fun delete(uri: Uri, where: String?, values: Array<String>?): Int = throw UnsupportedOperationException()
    override fun update(uri: Uri, values: ContentValues?, where: String?, args: Array<String>?): Int = throw UnsupportedOperationException()

    /** The folders of which a file can be handed out. */
    enum class Folder(val part: String) {
        /** What is shared. */
        SHARES("shares"),

        /** Photos on their way from the camera into the record: the store's own inbox. */
        CAMERA("camera");

        fun of(context: Context): File =
            (if (this == SHARES) File(context.filesDir, "shares") else File(context.filesDir, "notebook/inbox")).apply { mkdirs() }
    }

    companion object {
        private const val AUTHORITY = "app.sidelong.files"

        /** The address of a file of one of the two folders. */
        fun uri(folder: Folder, file: File): Uri =
            Uri.Builder().scheme("content").authority(AUTHORITY).appendPath(folder.part).appendPath(file.name).build()
    }
}
